// What the phone's own entries, and the time that has passed, do to the laptop's last word on readiness. It can only get worse:
// whether something is good again, the laptop alone works out. What worsens what stands in one table, pitcrew/domain/now/worsening.py.
// Pure: no page, no storage.

/** @typedef {{text: string, href: string}} Reason */
/** @typedef {{rows: any[], own: string}} Table */

/** What a row of the table may ask about an event; `entries` are all of this phone. */
const FACTS = {
  cleared: ({ climb }) => climb?.state === "cleared",
  critical: ({ parts }, { body }) => parts.some(({ id, climb_critical: critical }) => critical && id === body.part),
  hit: (snapshot, { kind, body }) => kind === "debrief" && Boolean(hitIn(snapshot, body.answers)),
  later: (_, { id, body }, entries) => entries.some((other) => other.kind === "reading" && other.id > id && keyOf(other.body) === keyOf(body)),
  logged: (_, { id }, entries) => entries.some(({ kind, body }) => kind === "fault" && body.reading === id),
  must: ({ checks }, { body }) => Boolean(checks.find(({ key }) => key === keyOf(body))?.must),
  ok_reading: (_, { kind, body }) => kind === "reading" && body.verdict === "ok",
};

/**
 * @param {Table} table
 * @param {any} snapshot
 * @param {any[]} entries made on this phone and not in the snapshot
 * @param {number} now the laptop's time, ms
 * @returns {{word: "ready" | "ready with deferrals" | "hold", reasons: Reason[], added: number}}
 */
export function worsened({ rows, own }, snapshot, entries, now) {
  const events = [...begun(snapshot, now), ...noBattery(snapshot, entries), ...entries];
  const said = new Set();
  const added = rows.flatMap((row) => events
    .filter((event) => holds(row, snapshot, event, entries) && !(row.once && (said.has(row.once) || !said.add(row.once))))
    .map((event) => reasonOf(row, own, snapshot, event)));
  const { word, reasons } = snapshot.readiness;
  if (!added.length) return { word, reasons, added: 0 };
  return { word: "hold", reasons: [...added, ...(word === "hold" ? reasons : [])], added: added.length };
}

/** Whether a row of the table holds for an event. A fact that this phone does not know counts against it. */
function holds({ kind, given, facts, unless }, snapshot, event, entries) {
  return (!kind || kind === event.kind)
    && Object.entries(given).every(([name, values]) => values.includes(event.body[name]))
    && facts.every((name) => FACTS[name]?.(snapshot, event, entries) ?? true)
    && !unless.some((name) => FACTS[name]?.(snapshot, event, entries));
}

function reasonOf({ says, href, own }, words, snapshot, { body }) {
  const key = keyOf(body);
  const check = snapshot.checks.find((item) => item.key === key)?.label ?? body.check;
  const texts = { ...body, part: labelOf(snapshot, body.part), check, hit: hitIn(snapshot, body.answers), match: snapshot.next?.label };
  return {
    text: put(says, texts) + (own ? ` ${words}` : ""),
    href: put(href, { ...body, key: encodeURIComponent(key) }),
  };
}

const put = (template, texts) => template.replace(/\{(\w+)\}/g, (_, name) => texts[name] ?? "");
const keyOf = ({ check, part }) => `${check}@${part}`;

/** The match for which the laptop worked it out has begun: nothing is known about the next one. */
function begun(snapshot, now) {
  const start = Date.parse(snapshot.next?.expected ?? snapshot.next?.planned ?? "");
  return now > start ? [{ kind: "match_begun", body: {} }] : [];
}

/** Each battery that was offered went somewhere else than into the robot. */
function noBattery(snapshot, entries) {
  const moves = new Map(entries.filter((entry) => entry.kind === "battery_move").map((entry) => [entry.body.battery, entry.body.to]));
  const offered = snapshot.batteries.filter((battery) => battery.offered);
  const gone = offered.filter((battery) => moves.has(battery.name) && moves.get(battery.name) !== "robot");
  return offered.length && gone.length === offered.length ? [{ kind: "no_battery", body: {} }] : [];
}

/**
 * What a debrief says about a hit, in the laptop's words; empty if it reports none.
 * @param {any} snapshot
 * @param {Record<string, boolean | string>} [answers]
 */
export const hitIn = (snapshot, answers) => (snapshot.debrief?.hits ?? []).find(({ name, given }) => given.includes(answers?.[name]))?.says ?? "";

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
