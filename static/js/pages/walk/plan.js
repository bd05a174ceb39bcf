// Which checks a walk has, in which order, and what must be true before hands go in. Pure: no page, no storage.

/** @typedef {"ok" | "watch" | "stop" | "unjudged" | "skipped"} Answer */

/**
 * The checks of a walk: one check by key, the rows of a card (those that are due, or all where none is), the due ones of a zone, or
 * all due ones zone by zone.
 * @param {any} snapshot
 * @param {{zone?: string | null, check?: string | null, card?: string | null}} wish
 * @returns {any[]}
 */
export function checksOf(snapshot, { zone = null, check = null, card = null }) {
  if (check) return snapshot.checks.filter((item) => item.key === check);
  if (card) {
    const rows = snapshot.checks.filter((item) => item.check === card);
    return rows.some((item) => item.due) ? rows.filter((item) => item.due) : rows;
  }
  const due = snapshot.checks.filter((item) => item.due && (!zone || item.zone === zone));
  const zones = [...new Set(due.map((item) => item.zone))];
  return zones.flatMap((name) => due.filter((item) => item.zone === name));
}

/**
 * The next check without an answer, or null at the end.
 * @param {any[]} checks
 * @param {Map<string, Answer>} answers
 */
export function nextOf(checks, answers) {
  return checks.find((item) => !answers.has(item.key)) ?? null;
}

/**
 * "3 of 6" within the current check's zone, with the shape of each.
 * @param {any[]} checks
 * @param {Map<string, Answer>} answers
 * @param {any} current
 */
export function progressOf(checks, answers, current) {
  const zone = checks.filter((item) => item.zone === current.zone);
  return {
    place: zone.indexOf(current) + 1,
    total: zone.length,
    steps: zone.map((item) => ({ key: item.key, label: item.label, answer: answers.get(item.key) ?? "due", current: item === current })),
  };
}

/**
 * At most `most` steps around the current one, and how many are left out on either side.
 * @template T
 * @param {T[]} steps
 * @param {number} place index of the current one
 * @param {number} most
 */
export function windowOf(steps, place, most) {
  const start = Math.max(0, Math.min(place - Math.floor(most / 2), steps.length - most));
  return { before: start, shown: steps.slice(start, start + most), after: Math.max(0, steps.length - start - most) };
}

/**
 * What must be done before this check because the one before left the robot in another state; null where nothing changes.
 * @param {any} snapshot
 * @param {any | null} before the check whose state of power holds now
 * @param {any} next
 * @returns {{power: "off" | "on" | "enabled", zone: any} | null}
 */
export function gateBefore(snapshot, before, next) {
  const zone = zoneOf(snapshot, next.zone);
  const same = before && before.power === next.power;
  if (next.power !== "off") return same ? null : { power: next.power, zone };
  const stored = zone.energies.length || zone.release.length;
  if (same && (before.zone === next.zone || !stored)) return null;
  return { power: "off", zone };
}

/**
 * Which of our own steps to a safe zone the team's list has in its own words: they are not said twice.
 * @param {any} zone
 * @param {string[]} about a word for each of our steps
 * @returns {string[]}
 */
export const saidByTeam = (zone, about) => about.filter((word) => zone.release.join(" ").toLowerCase().includes(word));

/**
 * @param {any} snapshot
 * @param {string} id
 */
export function zoneOf(snapshot, id) {
  const zone = (snapshot.robot?.zones ?? []).find((item) => item.id === id);
  return zone ?? { id, label: id, energies: [], release: [] };
}

/**
 * The last answer of this phone to each check, as its entry: those that the laptop does not know yet; and of this walk those that it
 * knows, where the check is not due any more, or stays due for the same match because it could not be judged.
 * @param {any} snapshot
 * @param {any[]} checks
 * @param {{fresh: any[], since: any[]}} entries in force
 * @returns {Map<string, any>}
 */
export function ownAnswers(snapshot, checks, { fresh, since }) {
  const due = new Set(checks.filter(({ due }) => due).map(({ key }) => key));
  const open = ({ kind, body, match }) => (kind === "skipped" || body.verdict === "unjudged") && match === (snapshot.next?.run ?? null);
  const [known, news] = [new Set(checks.map(({ key }) => key)), new Set(fresh.map(({ id }) => id))];
  return new Map([...fresh, ...since]
    .filter(({ kind, body }) => (kind === "reading" || kind === "skipped") && known.has(keyOf(body)))
    .filter((entry) => news.has(entry.id) || !due.has(keyOf(entry.body)) || open(entry))
    .sort((one, other) => (one.id < other.id ? -1 : 1))
    .map((entry) => [keyOf(entry.body), entry]));
}

/** @param {{kind: string, body: any}} entry @returns {Answer} */
export const answerOf = ({ kind, body }) => (kind === "skipped" ? "skipped" : body.verdict);

const keyOf = ({ check, part }) => `${check}@${part}`;
