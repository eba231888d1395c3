// Where one writes.

import { $, show } from "./dom.js";
import { newDraft, post, upload } from "./server.js";
import { Take } from "./take.js";
import { timeIn } from "./time.js";
import { locale, say } from "./words.js";

const longest = 8000;

const countOf = (text) => [...text].length;

export class Composer {
  constructor(pane) {
    this.pane = pane;
    this.form = $(pane.where + "-form");
    this.field = $(pane.where + "-text");
    this.note = $(pane.where + "-note");
    this.mode = this.form.querySelector(".mode");
    if (pane.where === "line") this.take = new Take(this);
    this.drafts = new Map(); // ids of what was offered and not taken yet
    this.form.addEventListener("submit", (e) => {
      e.preventDefault();
      this.submit();
    });
    this.field.addEventListener("keydown", (e) => this.onKey(e));
    this.field.addEventListener("input", () => this.onInput());
    this.form.querySelector(".mode-end").addEventListener("click", () => this.leaveMode());
  }

  /** Begins anew for another seat, with what was left unsent there. */
  sit() {
    this.target = null;
    this.setMode(null);
    this.take?.drop();
    this.field.value = this.unsent();
    this.say("");
    this.fit();
  }

  focus() {
    this.field.focus();
  }

  /** What was typed and not sent is kept for as long as the tab is open. */
  slot() {
    const { studio, as } = this.pane.seat;
    return ["unsent", studio, as, this.pane.where].join("/");
  }

  unsent() {
    return sessionStorage.getItem(this.slot()) ?? "";
  }

  keepUnsent() {
    if (this.target?.edit) return;
    sessionStorage.setItem(this.slot(), this.field.value);
  }

  onInput() {
    this.keepUnsent();
    this.fit();
    const n = countOf(this.field.value);
    const over = n > longest;
    this.field.setAttribute("aria-invalid", String(over));
    const figure = (x) => x.toLocaleString(locale());
    this.say(over ? say("room.too-long") : n > longest - 500 ? say("room.characters", { n: figure(n), most: figure(longest) }) : "");
  }

  /** Lets the field be as high as its text, up to a limit of the style sheet. */
  fit() {
    this.field.style.height = "auto";
    this.field.style.height = this.field.scrollHeight + 2 + "px";
  }

  onKey(event) {
    if (event.isComposing) return;
    if (event.key === "Enter" && !event.shiftKey) {
      event.preventDefault();
      this.submit();
    } else if (event.key === "Escape") {
      if (this.target) this.leaveMode();
      else this.pane.focusCurrent();
    } else if (event.key === "ArrowUp" && this.field.value === "" && !this.target) {
      const own = this.pane.lastOwn();
      if (own) {
        event.preventDefault();
        this.edit(own);
      }
    }
  }

  replyTo(entry, snippet) {
    if (this.target?.edit) this.leaveMode();
    this.target = { reply: entry.id };
    this.setMode(say("room.replying", { words: snippet }));
    this.focus();
  }

  edit(entry) {
    this.target = { edit: entry.id };
    this.setMode(say("room.editing", { time: timeIn(this.pane.zone, new Date(entry.at)) }));
    this.field.value = entry.message.text;
    this.fit();
    this.focus();
    this.field.setSelectionRange(this.field.value.length, this.field.value.length);
  }

  leaveMode() {
    const wasEdit = this.target?.edit;
    this.target = null;
    this.setMode(null);
    if (wasEdit) this.field.value = this.unsent();
    this.fit();
    this.focus();
  }

  setMode(words) {
    this.mode.querySelector(".mode-text").textContent = words ?? "";
    show(this.mode, words !== null);
    this.form.querySelector("[type=submit]").textContent = say(this.target?.edit ? "room.save" : "room.send");
  }

  say(words) {
    this.note.textContent = words;
  }

  async submit() {
    const text = this.field.value;
    const file = this.target?.edit ? null : this.take?.blob;
    if (text.trim() === "" && !file) return;
    if (countOf(text) > longest) {
      this.say(say("room.too-long"));
      return;
    }
    const target = this.target;
    let what = { text, reply_to: target?.reply };
    if (target?.edit) what = { message: target.edit, text };
    else if (file) what = { ...what, text: this.take.words(text), file: this.take.name };
    const seat = this.pane.seat;
    if (!await this.send(what, file) || seat !== this.pane.seat) return;
    if (file && this.take.blob === file) this.take.drop();
    if (this.target === target) this.done(text);
  }

  /** Empties the field, unless something else was typed meanwhile. */
  done(text) {
    if (this.field.value === text) {
      this.target = null;
      this.setMode(null);
      this.field.value = "";
      const kept = this.unsent();
      if (kept !== text) this.field.value = kept;
      this.keepUnsent();
    }
    this.fit();
  }

  /** Sends or saves, and reports whether the server has it. Offered again after
   * a failure, it is the same draft. */
  async send(what, file) {
    const seat = this.pane.seat;
    const key = JSON.stringify([seat, what, file?.size]);
    if (this.sending === key) return false;
    if (!this.drafts.has(key)) this.drafts.set(key, newDraft());
    const body = { ...seat, draft: this.drafts.get(key), ...what };
    if (!what.message) body.where = this.pane.where;
    this.sending = key;
    try {
      if (file) await upload("api/record", body, file, (share) => this.say(say("room.take-sending", { percent: Math.round(100 * share) })));
      else await post(what.message ? "api/edit" : "api/say", body);
      this.drafts.delete(key);
      this.say("");
      this.pane.toEnd();
      await this.pane.refresh().catch(() => {});
      return true;
    } catch (e) {
      if (seat === this.pane.seat) this.say(e.status ? e.message : say("room.not-sent", { why: e.message }));
      this.pane.desk.refused(e);
      return false;
    } finally {
      this.sending = null;
    }
  }
}
