// Times as a member's wall clock shows them.

const made = new Map();

function format(zone, name, options) {
  const key = zone + " " + name;
  if (!made.has(key)) {
    let f;
    try {
      f = new Intl.DateTimeFormat("en-GB", { ...options, timeZone: zone });
    } catch {
      f = new Intl.DateTimeFormat("en-GB", { ...options, timeZone: "UTC" });
    }
    made.set(key, f);
  }
  return made.get(key);
}

const hour = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };

/** "07:02" */
export const timeIn = (zone, at) => format(zone, "time", hour).format(at);

/** "Wednesday 4 March 2026" */
export function dayIn(zone, at) {
  return format(zone, "day", { weekday: "long", day: "numeric", month: "long", year: "numeric" }).format(at).replace(",", "");
}

/** "Wed 4 Mar 2026, 07:02" */
export function momentIn(zone, at) {
  const day = format(zone, "short", { weekday: "short", day: "numeric", month: "short", year: "numeric" });
  return day.format(at).replace(",", "") + ", " + timeIn(zone, at);
}
