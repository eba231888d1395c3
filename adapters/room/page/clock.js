// The clock of the studios, and the control that moves it.

import { $, show } from "./dom.js";
import { post } from "./server.js";
import { momentIn } from "./time.js";
import { say } from "./words.js";

export class Clock {
  constructor(desk) {
    this.desk = desk;
    this.zone = "UTC";
    $("steps").addEventListener("click", (e) => {
      const hours = Number(e.target.dataset?.hours);
      if (hours) this.step(hours);
    });
  }

  set({ now, moving, demo = this.demo }) {
    this.now = new Date(now);
    this.demo = demo;
    this.moving = moving || this.stepping;
    this.draw();
  }

  setZone(zone) {
    this.zone = zone;
    this.draw();
  }

  draw() {
    if (!this.now) return;
    $("clock-label").textContent = say(this.demo ? "room.simulated-time" : "room.time");
    $("now").textContent = momentIn(this.zone, this.now);
    $("now").setAttribute("datetime", this.now.toISOString());
    $("zone").textContent = this.zone.replaceAll("_", " ");
    show($("steps"), this.demo);
    for (const button of $("steps").querySelectorAll("button")) button.setAttribute("aria-disabled", String(Boolean(this.moving)));
    $("staff").classList.toggle("moving", Boolean(this.moving));
    this.desk.moving(Boolean(this.moving));
  }

  async step(hours) {
    if (this.moving) return;
    this.stepping = true;
    this.set({ now: this.now, moving: true });
    this.desk.trouble(null);
    try {
      const { now } = await post("api/step", { hours });
      this.now = new Date(now);
    } catch (e) {
      this.desk.trouble(e);
    } finally {
      this.stepping = false;
      this.set({ now: this.now, moving: false });
      this.desk.stepped();
    }
  }
}
