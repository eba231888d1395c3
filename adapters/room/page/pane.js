// A conversation: its entries, kept up with the server, and the way through them
// by keyboard.

import { $, el } from "./dom.js";
import { getIfNew } from "./server.js";
import { dayIn } from "./time.js";
import { dayHeading, entryNode, snippetOf } from "./entries.js";
import { Composer } from "./composer.js";
import { say } from "./words.js";

const some = 150;

export class Pane {
  /** where is "line" or "channel"; desk is told {trouble, counted, deleting}. */
  constructor(where, desk) {
    this.where = where;
    this.desk = desk;
    this.log = $(where + "-log");
    this.section = $(where);
    this.composer = new Composer(this);
    this.log.addEventListener("click", (e) => this.onClick(e));
    this.log.addEventListener("keydown", (e) => this.onKey(e));
    this.log.addEventListener("focusin", (e) => this.onFocus(e));
    this.log.addEventListener("load", () => this.keepDown(), true);
    this.log.addEventListener("scroll", () => { this.down = this.isDown(); }, { passive: true });
    new ResizeObserver(() => this.keepDown()).observe(this.log);
  }

  /** Begins anew for another seat: {studio, as}, her zone and language. */
  sit(seat, zone, empty) {
    Object.assign(this, { seat, zone, empty, tag: "", limit: some, entries: [], made: new Map(), current: null, down: true, filled: false });
    this.log.replaceChildren();
    this.log.setAttribute("aria-live", "off");
    this.composer.sit();
  }

  /** Reads the transcript again if it changed. Calls while one is under way
   * make it look once more after. */
  async refresh() {
    if (this.busy) {
      this.again = true;
      return;
    }
    this.busy = true;
    try {
      do {
        this.again = false;
        await this.readOnce(this.seat);
      } while (this.again);
    } finally {
      this.busy = false;
    }
  }

  async readOnce(seat) {
    const query = { ...seat, where: this.where, limit: this.limit };
    const got = await getIfNew("api/transcript", query, this.tag);
    if (seat !== this.seat) {
      this.again = true;
      return;
    }
    if (!got) return;
    this.tag = got.tag;
    this.lay(got.value);
  }

  /** Lays out a transcript, keeping every node whose entry is as it was. */
  lay(transcript) {
    const before = new Set(this.entries.map((e) => e.id));
    const focused = this.log.contains(document.activeElement) ? document.activeElement.closest(".entry")?.dataset.id : null;
    const height = this.log.scrollHeight;
    this.entries = transcript.entries;
    this.lang = transcript.lang;
    this.place(this.nodes(transcript));
    if (this.down) this.scrollDown();
    else if (this.growing) this.log.scrollTop += this.log.scrollHeight - height;
    this.growing = false;
    this.chooseCurrent(focused);
    if (this.filled) this.desk.counted(this, this.entries.filter((e) => !before.has(e.id) && !e.message?.mine).length);
    else this.startSpeaking();
  }

  /** From now on what is added is news, to be read out. */
  startSpeaking() {
    this.filled = true;
    setTimeout(() => this.log.setAttribute("aria-live", "polite"), 400);
  }

  nodes(transcript) {
    if (transcript.entries.length === 0) return [el("p", { class: "empty" }, this.empty)];
    const list = [];
    const made = new Map();
    const byID = new Map(transcript.entries.map((e) => [e.id, e]));
    const answers = answersIn(transcript.entries);
    if (transcript.more) list.push(this.keep(made, "more", "", () => el("button", { type: "button", class: "more", "data-do": "more" }, say("room.earlier"))));
    let day = "";
    for (const entry of transcript.entries) {
      const at = new Date(entry.at);
      const on = dayIn(this.zone, at);
      if (on !== day) list.push(this.keep(made, "day " + on, "", () => dayHeading(this.zone, at)));
      day = on;
      const to = byID.get(entry.reply_to);
      const view = { zone: this.zone, lang: this.lang, seat: this.seat, snippet: to && snippetOf(to), answers: answers.get(entry.id) ?? [] };
      list.push(this.keep(made, entry.id, JSON.stringify([entry, view]), () => entryNode(entry, view)));
    }
    this.made = made;
    return list;
  }

  /** Returns the node made before under a name, if it would be the same now. */
  keep(made, name, how, make) {
    const old = this.made.get(name);
    const kept = old?.how === how ? old : { how, node: make() };
    made.set(name, kept);
    return kept.node;
  }

  place(nodes) {
    const wanted = new Set(nodes);
    for (const node of [...this.log.children]) if (!wanted.has(node)) node.remove();
    nodes.forEach((node, i) => {
      if (this.log.children[i] !== node) this.log.insertBefore(node, this.log.children[i] ?? null);
    });
  }

  isDown() {
    return this.log.scrollHeight - this.log.scrollTop - this.log.clientHeight < 60;
  }

  keepDown() {
    if (this.down) this.scrollDown();
  }

  scrollDown() {
    this.log.scrollTop = this.log.scrollHeight;
    this.down = true;
  }

  /** The next refresh goes to the last entry. */
  toEnd() {
    this.down = true;
    this.moved = false;
  }

  articles() {
    return [...this.log.querySelectorAll(".entry")];
  }

  /** Makes one entry the stop of the tab key: the one that has the focus, the
   * one that had it, or the last. */
  chooseCurrent(focused) {
    const all = this.articles();
    const find = (id) => all.find((a) => a.dataset.id === id);
    const refocus = focused && find(focused);
    this.setCurrent(refocus || find(this.current) && this.moved && find(this.current) || all.at(-1));
    if (refocus && !this.log.contains(document.activeElement)) refocus.focus({ preventScroll: true });
  }

  setCurrent(article) {
    for (const node of this.log.querySelectorAll("[tabindex='0']")) node.setAttribute("tabindex", "-1");
    this.current = article?.dataset.id ?? null;
    if (!article) return;
    article.setAttribute("tabindex", "0");
    for (const node of article.querySelectorAll("[tabindex='-1']")) node.setAttribute("tabindex", "0");
  }

  onFocus(event) {
    const article = event.target.closest(".entry");
    if (!article) return;
    this.moved = article !== this.articles().at(-1);
    if (article.dataset.id !== this.current) this.setCurrent(article);
  }

  entryOf(node) {
    const id = node.closest(".entry")?.dataset.id;
    return this.entries.find((e) => e.id === id);
  }

  onClick(event) {
    const act = event.target.closest("[data-do]");
    if (!act) return;
    if (act.dataset.do === "more") {
      this.showEarlier();
      return;
    }
    this.act(act.dataset.do, this.entryOf(act), act.dataset.text);
  }

  act(what, entry, text) {
    if (!entry) return;
    if (what === "reply" && entry.post) this.composer.replyTo(entry, snippetOf(entry));
    if (what === "edit" && canEdit(entry)) this.composer.edit(entry);
    if (what === "delete" && canChange(entry)) this.desk.deleting(this, entry);
    if (what === "choose") this.composer.send({ text, reply_to: entry.id });
  }

  showEarlier() {
    this.limit = Math.min(this.limit * 2, 2000);
    this.tag = "";
    this.down = false;
    this.growing = true;
    this.refresh().catch((e) => this.desk.trouble(e));
  }

  onKey(event) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const article = event.target.closest(".entry");
    if (!article) return;
    const all = this.articles();
    const i = all.indexOf(article);
    const to = { ArrowUp: i - 1, ArrowDown: i + 1, Home: 0, End: all.length - 1 }[event.key];
    if (to !== undefined) {
      all[to]?.focus();
      event.preventDefault();
    } else if (this.press(event.key, article)) {
      event.preventDefault();
    }
  }

  /** Does what a key means on an entry, and reports whether it means anything. */
  press(key, article) {
    const entry = this.entryOf(article);
    const what = { r: "reply", R: "reply", e: "edit", E: "edit", Delete: "delete" }[key];
    if (what) this.act(what, entry);
    else if (key === "Escape") this.composer.focus();
    else if (key === "?") $("help").showModal();
    else if (/^[1-9]$/.test(key)) article.querySelectorAll(".choice")[key - 1]?.click();
    else return false;
    return true;
  }

  focusCurrent() {
    const all = this.articles();
    (all.find((a) => a.dataset.id === this.current) ?? all.at(-1))?.focus();
  }

  /** Returns the last message that one may still edit. */
  lastOwn() {
    return this.entries.findLast(canEdit);
  }
}

const canEdit = (entry) => canChange(entry) && !entry.message.files;
const canChange = (entry) => Boolean(entry.message?.mine && !entry.message.deleted);

/** Returns, by post, what was answered to it, the last answer first; of “2 ok, 4
 * hold” each part. */
function answersIn(entries) {
  const answers = new Map();
  for (const { message, reply_to: to } of entries) {
    if (!message?.mine || message.deleted || !to) continue;
    answers.set(to, [message.text, ...message.text.split(",").map((part) => part.trim().toLowerCase()), ...(answers.get(to) ?? [])]);
  }
  return answers;
}
