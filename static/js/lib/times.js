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
