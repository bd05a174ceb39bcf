// What the phone's own entries, and the time that has passed, do to the laptop's last word on readiness. It can only get worse:
// whether something is good again, the laptop alone works out. Pure: no page, no storage.

/** @typedef {{text: string, href: string}} Reason */

/**
 * @param {any} snapshot
 * @param {any[]} entries made on this phone and not in the snapshot
 * @param {number} now the laptop's time, ms
 * @returns {{word: "ready" | "ready with deferrals" | "hold", reasons: Reason[], added: number}}
 */
export function worsened(snapshot, entries, now) {
  const added = [...begun(snapshot, now), ...entries.flatMap((entry) => holdsOf(snapshot, entries, entry)), ...noBattery(snapshot, entries), ...voided(snapshot, entries)];
  const { word, reasons } = snapshot.readiness;
  if (!added.length) return { word, reasons, added: 0 };
  return { word: "hold", reasons: [...added, ...(word === "hold" ? reasons : [])], added: added.length };
}

/** The match for which the laptop worked it out has begun: nothing is known about the next one. */
function begun(snapshot, now) {
  const start = Date.parse(snapshot.next?.expected ?? snapshot.next?.planned ?? "");
  if (!(now > start)) return [];
  return [{ text: `This was worked out for ${snapshot.next.label}, which has begun since. What is due now, the laptop knows.`, href: "/now" }];
}

function holdsOf(snapshot, entries, { id, kind, body }) {
  const part = labelOf(snapshot, body.part);
  if (kind === "reading") {
    const check = snapshot.checks.find((item) => item.key === `${body.check}@${body.part}`);
    const logged = entries.some((other) => other.kind === "fault" && other.body.reading === id);
    const later = entries.some((other) => other.kind === "reading" && other.id > id && other.body.check === body.check && other.body.part === body.part);
    const bad = (body.verdict === "stop" && !logged) || (body.verdict === "unjudged" && check?.must);
    return bad && !later ? [hold(`${part}, ${check?.label ?? body.check}: ${body.verdict}.`, `/walk?check=${encodeURIComponent(`${body.check}@${body.part}`)}`)] : [];
  }
  if (kind === "fault" && body.grade === "stop") return [hold(`${part}: ${body.symptom} (stop, open).`, "/faults")];
  if (kind === "fault_move" && body.to === "open") return [hold("A fault was opened again.", `/faults/${body.fault}`)];
  if (kind === "temporary" && body.blocks) return [hold(`${part}: ${body.what}, not undone.`, "/now")];
  if (kind === "debrief" && hitIn(snapshot, body.answers)) return [hold(`The debrief says: ${hitIn(snapshot, body.answers)}. The checks after a hard hit are due.`, "/walk")];
  if (kind === "part_change") return [hold(`${part}: changed, and not checked since.`, "/walk")];
  return [];
}

function noBattery(snapshot, entries) {
  const moves = new Map(entries.filter((entry) => entry.kind === "battery_move").map((entry) => [entry.body.battery, entry.body.to]));
  const offered = snapshot.batteries.filter((battery) => battery.offered);
  const gone = offered.filter((battery) => moves.has(battery.name) && moves.get(battery.name) !== "robot");
  return offered.length && gone.length === offered.length ? [hold("The battery that was offered went elsewhere.", "/batteries")] : [];
}

/**
 * What a debrief tells of a hit, in the laptop's words; empty where it tells of none.
 * @param {any} snapshot
 * @param {Record<string, boolean | string>} [answers]
 */
export const hitIn = (snapshot, answers) => (snapshot.debrief?.hits ?? []).find(({ name, given }) => given.includes(answers?.[name]))?.says ?? "";

/** A hit ends the hold test that a signature rests on; an entry on a climb-critical part voids it, unless it is a reading judged ok. */
function voided(snapshot, entries) {
  if (snapshot.climb?.state !== "cleared") return [];
  const hit = entries.map(({ kind, body }) => kind === "debrief" && hitIn(snapshot, body.answers)).find(Boolean);
  if (hit) return [hold(`The climb clearance is void. The debrief says: ${hit}.`, "/climb")];
  const critical = new Set(snapshot.parts.filter((part) => part.climb_critical).map((part) => part.id));
  const touch = entries.find(({ kind, body }) => critical.has(body.part) && !(kind === "reading" && body.verdict === "ok"));
  return touch ? [hold(`The climb clearance is void: ${labelOf(snapshot, touch.body.part)} was touched since.`, "/climb")] : [];
}

const hold = (text, href) => ({ text: `${text} From this phone.`, href });

/** @param {any} snapshot @param {string} part */
export const labelOf = (snapshot, part) => snapshot.parts?.find((item) => item.id === part)?.label ?? part;

/**
 * The checks that are still due, by zone, once this phone's own answers are taken off.
 * @param {any} snapshot
 * @param {any[]} entries
 * @returns {{zone: any, checks: any[], minutes: number}[]}
 */
export function dueByZone(snapshot, entries) {
  const done = new Set(entries.filter((entry) => entry.kind === "reading" && entry.body.verdict !== "unjudged").map(({ body }) => `${body.check}@${body.part}`));
  const due = snapshot.checks.filter((check) => check.due && !done.has(check.key));
  return (snapshot.robot?.zones ?? [])
    .map((zone) => ({ zone, checks: due.filter((check) => check.zone === zone.id) }))
    .filter(({ checks }) => checks.length)
    .map(({ zone, checks }) => ({ zone, checks, minutes: Math.ceil(checks.reduce((sum, check) => sum + check.minutes, 0)) }));
}
