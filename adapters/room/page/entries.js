// One entry of a conversation as nodes.

import { el, sign } from "./dom.js";
import { pathOf } from "./server.js";
import { dayIn, timeIn } from "./time.js";
import { say } from "./words.js";

/** The signs of the kinds of posts. */
const signs = {
  routine: "routine",
  receipt: "check",
  question: "question",
  answer: "answer",
  reminder: "fermata",
  digest: "digest",
  lesson: "digest",
  report: "digest",
  announcement: "repeat",
  alert: "alert",
};

const kindOf = (post) => (signs[post.kind] ? post.kind : "answer");

const verdicts = ["logged", "asked", "passed", "refused", "faulty"];

/** Returns the heading of a day. */
export function dayHeading(zone, at) {
  return el("h3", { class: "day" }, el("span", {}, dayIn(zone, at)));
}

/** The language of what the page itself says within a post. */
const pageLang = () => document.documentElement.lang;

let contents = 0; // entries made so far, to name their contents

/** Returns an entry. view is what the page knows beside it: {zone, lang, seat,
 * snippet, answers}. Its buttons say by data-do what they are for. */
export function entryNode(entry, view) {
  const at = new Date(entry.at);
  const node = el("article", { class: "entry", tabindex: "-1", "data-id": entry.id });
  const time = el("time", { datetime: entry.at }, timeIn(view.zone, at));
  node.append(el("div", { class: "margin" }, time));
  const body = entry.message ? messageBody(entry.message, view) : postBody(entry, view);
  node.classList.add(...body.classes);
  node.append(el("div", { class: "body" }, body.nodes));
  node.setAttribute("aria-label", body.label + ", " + timeIn(view.zone, at));
  const content = body.nodes.at(-1);
  content.id = "content-" + ++contents;
  node.setAttribute("aria-describedby", content.id);
  return node;
}

function button(what, words, attributes = {}) {
  return el("button", { type: "button", class: "act", "data-do": what, tabindex: "-1", ...attributes }, words);
}

function snippetNode(view) {
  return view.snippet ? el("span", { class: "snippet" }, say("room.to") + " ", el("q", {}, view.snippet)) : null;
}

function messageBody(message, view) {
  const name = message.mine ? say("room.you") : message.by ?? say("room.someone");
  const role = !message.mine && message.role && message.role !== "student" ? el("span", { class: "role" }, say("room.role-" + message.role)) : null;
  const notes = [];
  if (message.edited && !message.deleted) notes.push(say("room.edited"));
  if (verdicts.includes(message.verdict) && !message.deleted) notes.push(say("room.verdict-" + message.verdict));
  const acts = message.mine && !message.deleted ? [message.files ? null : button("edit", say("room.edit")), button("delete", say("room.delete"))] : [];
  const files = message.files?.map((name) => "♪ " + name).join(", ");
  const text = message.deleted
    ? el("p", { class: "text gone" }, say("room.deleted"))
    : el("p", { class: "text", dir: "auto" }, message.text || files);
  const head = el("header", { class: "entry-head" },
    el("span", { class: "by" }, name), role,
    notes.length ? el("span", { class: "notes" }, notes.join(", ")) : null,
    files && message.text ? el("span", { class: "notes" }, files) : null,
    snippetNode(view),
    acts.length ? el("span", { class: "acts" }, acts) : null);
  return {
    label: name,
    classes: ["message", message.mine ? "mine" : "theirs"],
    nodes: [head, text],
  };
}

function postBody(entry, view) {
  const post = entry.post;
  const kind = say("room.kind-" + kindOf(post));
  const head = el("header", { class: "entry-head" },
    el("span", { class: "kind" }, sign(signs[kindOf(post)]), kind),
    snippetNode(view),
    el("span", { class: "acts" }, button("reply", say("room.reply"))));
  const card = el("div", { class: "card", lang: view.lang },
    post.title ? el("h4", { class: "card-title" }, post.title) : null,
    post.text ? paragraphs(post.text) : null,
    post.items?.length ? itemLists(entry, view) : null,
    post.pictures?.length ? otherPictures(entry, view) : null,
    post.files?.length ? fileList(entry, view) : null,
    post.foot ? el("p", { class: "foot" }, post.foot) : null,
    post.sheet ? sheetLinks(entry, view) : null,
    post.choices?.length && !pointed(post) ? choiceList(post.choices, view.answers) : null);
  return {
    label: kind + (post.title ? ": " + post.title : ""),
    classes: ["post", "is-" + kindOf(post)],
    nodes: [head, card],
  };
}

function paragraphs(text) {
  return text.split("\n").map((line) => el("p", { class: "text" }, line));
}

/** Reports whether the choices of a post stand beside its items. */
const pointed = (post) => Boolean(post.choices?.length && post.items?.some((item) => item.choices?.length));

/** Items under their headings: a list for each part of the post. */
function itemLists(entry, view) {
  const parts = [];
  for (const item of entry.post.items) {
    if (!parts.length || (item.part ?? "") !== parts.at(-1).name) parts.push({ name: item.part ?? "", items: [] });
    parts.at(-1).items.push(item);
  }
  return parts.flatMap(({ name, items }) => [name ? el("h5", { class: "part" }, name) : null, itemList(items, entry, view)]);
}

function itemList(items, entry, view) {
  const { post } = entry;
  return el("ol", { class: "items", role: "list" }, items.map((item) =>
    el("li", {},
      el("span", { class: "number" }, String(item.n)),
      el("div", { class: "item" },
        el("p", { class: "item-head" }, item.head),
        item.detail ? details(item.detail, post.kind) : null,
        item.picture ? pictureNode(entry, view, item.picture - 1) : null,
        pointed(post) && item.choices?.length ? pointChoices(item, view.answers) : null))));
}

/** The answers to one item, and which was given. */
function pointChoices(item, answers) {
  return el("p", { class: "choices" }, item.choices.map((choice, i) => {
    const short = item.n + (i ? " hold" : " ok");
    const text = choice.text || short;
    return answers.includes(text) || answers.includes(short)
      ? el("span", { class: "answered" }, sign("check"), choice.label)
      : button("choose", choice.label, { class: "choice point", "data-text": text });
  }));
}

/** Facts of no more characters than this are not broken over two lines. */
const whole = 20;

/** Lines of a detail hold facts parted by " · ". In a routine the lines after the
 * first say why. */
function details(detail, kind) {
  return detail.split("\n").map((line, i) => i && kind === "routine"
    ? el("p", { class: "reason" }, line)
    : el("p", { class: "facts" }, line.split(" · ").flatMap((fact, i) => [
      i ? el("span", { class: "dot" }, "\u00a0· ") : null,
      el("span", { class: fact.length <= whole ? "whole" : null }, fact),
    ])));
}

/** The pictures that stand beside no item. */
function otherPictures(entry, view) {
  const beside = new Set((entry.post.items ?? []).map((item) => item.picture));
  return entry.post.pictures.map((_, n) => beside.has(n + 1) ? null : pictureNode(entry, view, n));
}

function pictureNode(entry, view, n) {
  const alt = entry.post.pictures[n];
  const src = pathOf("picture", { ...view.seat, post: entry.id, n });
  return el("figure", {},
    el("a", { href: src, target: "_blank", rel: "noopener", tabindex: "-1", "data-do": "open" },
      el("img", { src, alt, width: "720" })),
    el("details", {}, el("summary", { tabindex: "-1", lang: pageLang() }, say("picture-in-words")), el("p", {}, alt)));
}

/** The files that go with a post, to hear and to save. */
function fileList(entry, view) {
  return el("div", { class: "files", lang: pageLang() }, entry.post.files.flatMap((name, n) => {
    const src = pathOf("file", { ...view.seat, post: entry.id, n });
    return [
      name.endsWith(".mid") ? null : el("audio", { src, controls: true, preload: "none", "aria-label": name, tabindex: "-1" }),
      el("a", { href: src, download: "", tabindex: "-1", "data-do": "open" }, say("room.file-save", { name })),
    ];
  }));
}

/** Links to the post as a page to keep or print. */
function sheetLinks(entry, view) {
  const forms = [["html", say("room.sheet-html")], ["pdf", say("room.sheet-pdf")], ["letter", say("room.sheet-letter")]];
  return el("p", { class: "sheet-links", lang: pageLang() }, say("room.sheet") + " ", forms.flatMap(([form, words], i) => [
    i ? " · " : null,
    el("a", { href: pathOf("sheet", { ...view.seat, post: entry.id, form }), download: "", tabindex: "-1", "data-do": "open" }, words),
  ]));
}

function choiceList(choices, answers) {
  const given = answers.map((text) => choices.find((c, i) => c.text === text || String(i + 1) === text)).find(Boolean);
  if (given) {
    return el("p", { class: "answered" }, sign("check"), say("room.answered") + " ", el("strong", {}, given.label));
  }
  return el("ol", { class: "choices", role: "list", "aria-label": say("room.quick-answers") }, choices.map((choice, i) =>
    el("li", {}, button("choose", [el("span", { class: "number", "aria-hidden": "true" }, String(i + 1)), choice.label],
      { class: "choice", "data-text": choice.text }))));
}

/** Returns a few words of an entry, to say what is being answered. */
export function snippetOf(entry) {
  const words = entry.post ? entry.post.title || entry.post.text || say("room.kind-" + kindOf(entry.post)) : entry.message.text || entry.message.files?.[0];
  const line = (words || "").split("\n")[0];
  return line.length > 70 ? line.slice(0, 69).trimEnd() + "…" : line;
}
