// Times as people at the event read them: in the event's zone, whatever the phone's own is.

/**
 * `14:52`, with the weekday in front where it is not today's.
 * @param {string | number | null} moment ISO text or ms
 * @param {string} zone IANA name
 * @param {number} [now] ms
 */
export function clockTime(moment, zone, now = Date.now()) {
  if (moment === null || moment === "") return "";
  const date = new Date(moment);
  if (Number.isNaN(date.getTime())) return "";
  const text = written(date, zone, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const day = { year: "numeric", month: "numeric", day: "numeric" };
  if (written(date, zone, day) === written(new Date(now), zone, day)) return text;
  return `${written(date, zone, { weekday: "short" })} ${text}`;
}

function written(date, zone, how) {
  try {
    return new Intl.DateTimeFormat("en-GB", { ...how, timeZone: zone }).format(date);
  } catch {
    return new Intl.DateTimeFormat("en-GB", how).format(date);
  }
}

/** How far this phone's clock is off, as the laptop's pages say it too; empty within a minute. @param {number} ahead ms that the laptop is ahead */
export function clockError(ahead) {
  if (Math.abs(ahead) <= 60_000) return "";
  const hours = Math.abs(ahead) / 3_600_000;
  const steps = /** @type {[number, string, number][]} */ ([[1.5, "min", 60], [48, "h", 1], [2 * 365 * 24, "days", 1 / 24], [Infinity, "years", 1 / 8766]]);
  const [, word, factor] = steps.find(([end]) => hours < end);
  return `${Math.round(hours * factor)} ${word} ${ahead > 0 ? "behind" : "ahead"}`;
}
