// Times as a member's wall clock shows them.

import { locale, say } from "./words.js";

const made = new Map();

function format(zone, name, options) {
  const key = [locale(), zone, name].join(" ");
  if (!made.has(key)) {
    let f;
    try {
      f = new Intl.DateTimeFormat(locale(), { ...options, timeZone: zone });
    } catch {
      f = new Intl.DateTimeFormat(locale(), { ...options, timeZone: "UTC" });
    }
    made.set(key, f);
  }
  return made.get(key);
}

const hour = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };

/** "07:02" */
export const timeIn = (zone, at) => format(zone, "time", hour).format(at);

/** Returns the weekday, day, month and year as the language names them. */
function partsOf(zone, at, style) {
  const f = format(zone, style, { weekday: style, day: "numeric", month: style, year: "numeric" });
  return Object.fromEntries(f.formatToParts(at).map(({ type, value }) => [type, value]));
}

/** "Wednesday 4 March 2026" */
export const dayIn = (zone, at) => say("room.day", partsOf(zone, at, "long"));

/** "Wed 4 Mar 2026, 07:02" */
export function momentIn(zone, at) {
  const { month: mon, ...parts } = partsOf(zone, at, "short");
  return say("room.moment", { ...parts, mon, time: timeIn(zone, at) });
}
