// Live updates, for as long as the page is open.

import { pathOf } from "./server.js";

const wait = 3000; // milliseconds before a lost connection is tried anew

export class Live {
  /** on is {open, lost, clock, changed}. */
  constructor(on) {
    this.on = on;
  }

  /** Listens for a seat, in place of the one before. */
  listen(seat) {
    this.stop();
    const source = new EventSource(pathOf("api/events", seat));
    this.source = source;
    source.onopen = () => this.on.open();
    source.addEventListener("clock", (e) => this.on.clock(JSON.parse(e.data)));
    source.addEventListener("changed", (e) => this.on.changed(JSON.parse(e.data).where));
    source.onerror = () => {
      this.on.lost();
      if (source.readyState !== EventSource.CLOSED) return; // it comes back by itself
      this.timer = setTimeout(() => this.listen(seat), wait);
    };
  }

  stop() {
    clearTimeout(this.timer);
    this.source?.close();
  }
}
