// The page as a whole: who one acts as, which conversations are shown.

import { $, el, show } from "./dom.js";
import { get, post } from "./server.js";
import { Clock } from "./clock.js";
import { Live } from "./live.js";
import { Pane } from "./pane.js";
import { count, learn, locale, say, speak } from "./words.js";

const roles = ["teacher", "assistant", "student", "guardian"];

class Desk {
  constructor() {
    this.clock = new Clock(this);
    this.panes = { line: new Pane("line", this), channel: new Pane("channel", this) };
    this.unseen = { line: 0, channel: 0 };
    this.broken = true;
    this.live = new Live({
      open: () => this.connected(),
      lost: () => this.lost(),
      clock: (c) => this.beat(c),
      changed: (where) => this.refresh(where),
    });
    this.wire();
  }

  wire() {
    $("studio").addEventListener("change", () => this.enterStudio($("studio").value).catch((e) => this.trouble(e)));
    $("as").addEventListener("change", () => this.sit($("as").value));
    $("help-open").addEventListener("click", () => $("help").showModal());
    $("sign-out").addEventListener("click", () => this.signOut());
    $("sign-in").addEventListener("submit", (e) => this.signIn(e));
    $("views").addEventListener("click", (e) => {
      const view = e.target.closest("[data-view]")?.dataset.view;
      if (view) this.view(view);
    });
    document.addEventListener("keydown", (e) => this.onKey(e));
    document.addEventListener("visibilitychange", () => this.seen());
    this.wireSkip();
  }

  /** The skip link leads to writing. The Enter that follows it must not be
   * typed there. */
  wireSkip() {
    const skip = document.querySelector(".skip");
    const follow = (e) => {
      e.preventDefault();
      this.panes[$("desk").dataset.view].composer.focus();
    };
    skip.addEventListener("click", follow);
    skip.addEventListener("keydown", (e) => {
      if (e.key === "Enter") follow(e);
    });
  }

  /** Reads what there is and takes the seat that the address names, or the
   * first. */
  async open() {
    try {
      await learn();
      if (!this.member) speak();
      this.room = await get("api/room");
    } catch (e) {
      this.porch(e);
      return;
    }
    if (this.room.studios.length === 0) {
      this.porch(null, say("room.no-studio-yet"));
      return;
    }
    show($("sign-out"), this.room.locked);
    this.clock.set(this.room);
    $("studio").replaceChildren(...this.room.studios.map((s) => el("option", { value: s.id }, s.name)));
    const several = this.room.studios.length > 1;
    show($("studio-field"), several);
    $("studio-name").classList.toggle("unseen", several);
    const wanted = new URLSearchParams(location.hash.slice(1));
    try {
      await this.enterStudio(wanted.get("studio"), wanted.get("as"));
    } catch (e) {
      this.porch(e);
      return;
    }
    for (const id of ["mast", "views", "desk"]) show($(id), true);
    show($("porch"), false);
    this.view(wanted.get("view") === "channel" && this.studio.channel ? "channel" : "line", false);
  }

  async enterStudio(id, as) {
    this.studio = this.room.studios.find((s) => s.id === id) ?? this.room.studios[0];
    $("studio").value = this.studio.id;
    $("studio-name").textContent = this.studio.name;
    $("studio-name").title = this.studio.name;
    document.title = this.studio.name;
    this.members = (await get("api/members", { studio: this.studio.id })).members;
    if (this.members.length === 0) throw new Error(say("room.nobody"));
    await Promise.all(this.members.map((m) => learn(this.studio.id, m.lang)));
    const first = this.members.find((m) => m.role === "teacher") ?? this.members[0];
    this.sit((this.members.find((m) => m.id === as) ?? first).id);
  }

  /** Lists whom one may act as, by role, in the language that is spoken. */
  listMembers() {
    const groups = roles.map((role) => {
      const members = this.members.filter((m) => m.role === role);
      const [first, ...rest] = say("role." + role);
      return members.length ? el("optgroup", { label: first.toLocaleUpperCase(locale()) + rest.join("") }, members.map((m) =>
        el("option", { value: m.id }, m.wards ? say("room.for-wards", { name: m.name, wards: m.wards.join(", ") }) : m.name))) : null;
    });
    $("as").replaceChildren(...groups.filter(Boolean));
  }

  sit(id) {
    this.member = this.members.find((m) => m.id === id);
    speak(this.studio.id, this.member.lang);
    this.listMembers();
    $("as").value = id;
    const seat = { studio: this.studio.id, as: id };
    this.clock.setZone(this.member.zone);
    $("line-who").textContent = say("room.line-with", { name: this.member.name });
    $("channel-who").textContent = say("room.everybody");
    for (const [where, pane] of Object.entries(this.panes)) {
      pane.sit(seat, this.member.zone, say("room.empty-" + where));
      this.unseen[where] = 0;
    }
    show($("channel"), this.studio.channel);
    show(document.querySelector("[data-view=channel]"), this.studio.channel);
    if (!this.studio.channel) this.view("line", false);
    this.trouble(null);
    this.seen();
    this.remember();
    this.refreshAll();
    this.live.listen(seat);
  }

  remember() {
    const view = $("desk").dataset.view;
    history.replaceState(null, "", "#" + new URLSearchParams({ studio: this.studio.id, as: this.member.id, view }));
  }

  refreshAll() {
    this.refresh("line");
    if (this.studio.channel) this.refresh("channel");
  }

  refresh(where) {
    this.panes[where].refresh().catch((e) => this.refused(e));
  }

  connected() {
    this.broken = false;
    this.everLive = true;
    this.saidState();
    this.trouble(null);
    this.refreshAll();
  }

  /** The connection is gone. If that is since one has to sign in again, ask. */
  async lost() {
    this.broken = true;
    this.saidState();
    try {
      await get("api/room");
    } catch (e) {
      this.refused(e);
    }
  }

  beat(clock) {
    this.clock.set(clock);
    if (!clock.moving) this.refreshAll();
  }

  moving(now) {
    this.isMoving = now;
    this.saidState();
  }

  saidState() {
    const words = say(this.broken ? (this.everLive ? "room.reconnecting" : "room.connecting") : this.isMoving ? "room.moving" : "room.live");
    if ($("state").textContent !== words) $("state").textContent = words;
    $("state").dataset.state = this.broken ? "lost" : this.isMoving ? "moving" : "live";
  }

  stepped() {
    this.refreshAll();
  }

  /** Shows what went wrong in one sentence, or takes it away. */
  trouble(e) {
    $("trouble").textContent = e ? e.message : "";
    if (e) this.refused(e);
  }

  /** Something was refused: if it is for want of the password, ask for it. */
  refused(e) {
    if (e.status === 401) this.porch(e);
    else if (e.status === 404 && this.member) $("trouble").textContent = e.message;
  }

  porch(e, words = "") {
    const signIn = e?.status === 401;
    this.live.stop();
    for (const id of ["mast", "views", "desk"]) show($(id), false);
    show($("porch"), true);
    show($("sign-in"), signIn);
    $("porch-text").textContent = signIn ? "" : e ? e.message : words;
    if (signIn) $("member").focus();
    else setTimeout(() => this.open(), 3000);
  }

  async signIn(event) {
    event.preventDefault();
    $("porch-trouble").textContent = "";
    try {
      await post("api/signin", { member: $("member").value, code: $("code").value, password: $("password").value });
      $("password").value = $("code").value = "";
      await this.open();
    } catch (e) {
      $("porch-trouble").textContent = e.message;
      $("password").select();
    }
  }

  async signOut() {
    await post("api/signout", {}).catch((e) => this.trouble(e));
    sessionStorage.clear();
    this.open();
  }

  /** Asks whether a message is to be deleted, and deletes it. */
  deleting(pane, entry) {
    $("sure-text").textContent = entry.message.text;
    $("sure").querySelector("form").onsubmit = (e) => {
      if (e.submitter?.value === "delete") this.delete(pane, entry);
    };
    $("sure").showModal();
  }

  async delete(pane, entry) {
    try {
      await post("api/delete", { ...pane.seat, message: entry.id });
      await pane.refresh();
    } catch (e) {
      this.trouble(e);
    }
  }

  /** Shows one conversation where there is room for one only. */
  view(where, focus = true) {
    $("desk").dataset.view = where;
    for (const button of $("views").querySelectorAll("[data-view]")) {
      if (button.dataset.view === where) button.setAttribute("aria-current", "true");
      else button.removeAttribute("aria-current");
    }
    this.panes[where].keepDown();
    this.seen();
    if (focus) this.remember();
  }

  onKey(event) {
    if (event.key !== "F6" || $("desk").hidden || !this.studio?.channel) return;
    event.preventDefault();
    const here = $("channel").contains(document.activeElement) ? "channel" : "line";
    const there = here === "channel" ? "line" : "channel";
    this.view(there);
    this.panes[there].composer.focus();
  }

  /** More entries of others were added to a pane. */
  counted(pane, n) {
    this.unseen[pane.where] += n;
    this.seen();
  }

  /** What is on show has been seen; the rest is counted where one looks. */
  seen() {
    for (const where of ["line", "channel"]) {
      if (!document.hidden && $(where).offsetParent !== null) this.unseen[where] = 0;
      const n = this.unseen[where];
      document.querySelector(`[data-view=${where}] .new`).textContent = n ? " " + count("room.unseen", n) : "";
    }
    const all = this.unseen.line + this.unseen.channel;
    if (this.studio) document.title = (all ? `(${all}) ` : "") + this.studio.name;
  }
}

new Desk().open();
