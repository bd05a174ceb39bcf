// The entries that a walk makes: a reading, a check that could not be done and why, a fault. Pure but for id and time.

import { newId } from "../../lib/ids.js";

/**
 * @param {any} snapshot
 * @param {string} kind
 * @param {any} body
 * @returns {import("../../store/outbox.js").Entry}
 */
export function entryOf(snapshot, kind, body) {
  const now = Date.now();
  return {
    id: newId(now), kind, at: new Date(now).toISOString(), robot: snapshot.robot?.name ?? null, match: snapshot.next?.run ?? null, body, shape: 1,
  };
}

/**
 * @param {any} snapshot
 * @param {any} check
 * @param {Record<string, {typed: string, value: number | string, unit: string | null}>} inputs
 * @param {import("../../lib/verdict.js").Judgement} judgement
 */
export function readingEntry(snapshot, check, inputs, judgement) {
  return entryOf(snapshot, "reading", {
    check: check.check, part: check.part, inputs, result: judgement.result ?? null, limit: check.limit, verdict: judgement.verdict, photos: [],
    said: { text: judgement.sentence, ...judgement.said },
  });
}

/**
 * @param {any} snapshot
 * @param {any} check
 * @param {string} why
 */
export function skippedEntry(snapshot, check, why) {
  return entryOf(snapshot, "skipped", { check: check.check, part: check.part, why });
}

/**
 * Takes an entry back, or puts another body in its place. The entry itself stays, on this phone and in the logbook.
 * @param {import("../../store/outbox.js").Entry} entry
 * @param {any} body null where it should not count
 * @param {string} why
 * @param {string} [match] the run that it belongs to, where that changes; empty for none
 */
export function correctionEntry(entry, body, why, match) {
  const now = Date.now();
  const about = { of: entry.id, body, why, ...(match !== undefined && { match }) };
  return { id: newId(now), kind: "correction", at: new Date(now).toISOString(), robot: entry.robot, match: entry.match, body: about, shape: 1 };
}

/** Takes back what was kept seconds ago. @param {import("../../store/outbox.js").Entry} entry */
export function undoEntry(entry) {
  const why = "Undone right after it was kept";
  const made = correctionEntry(entry, null, why);
  return { ...made, body: { ...made.body, said: { key: "undone", words: {}, text: why } } };
}

/**
 * A fault belongs to the match that was just played, a reading to the match that it is taken for.
 * @param {any} snapshot
 * @param {string} part
 * @param {{symptom: string, grade: string, reading: string | null, photos: string[]}} fault
 * @param {any} [made] what the symptom is made of, if no one changed it
 */
export function faultEntry(snapshot, part, { symptom, grade, reading, photos }, made) {
  const said = made?.text === symptom ? { said: made } : {};
  return { ...entryOf(snapshot, "fault", { part, symptom, grade, reading, photos, ...said }), match: snapshot.played ?? null };
}

/** What a photo needs to know of a fault that was just logged. @param {import("../../store/outbox.js").Entry} entry */
export const faultOf = ({ id, robot, match, body }) => ({ id, robot, match, symptom: body.symptom });

/**
 * Ties a photo that was taken later to its fault.
 * @param {{id: string, symptom: string, robot: string | null, match: string | null}} fault
 * @param {string} photo
 */
export function photoNote({ id, ofPart, symptom, robot, match }, photo) {
  const now = Date.now();
  const text = `Photo: ${symptom}`;
  const said = { key: "photo", words: { of: symptom }, text };
  const body = { text, ...(ofPart ? { part: ofPart } : { fault: id }), photos: [photo], said };
  return { id: newId(now), kind: "note", at: new Date(now).toISOString(), robot, match, body, shape: 1 };
}

/**
 * What happened, filled in from the reading: the label and what was typed; with what it is made of, numbers in SI.
 * @param {any} check
 * @param {Record<string, {typed: string, value: number | string, unit: string | null}>} inputs
 */
export function symptomOf(check, inputs) {
  const seen = check.inputs
    .filter((input) => inputs[input.name]?.typed)
    .map((input) => {
      const typed = inputs[input.name].typed.trim();
      const number = `${typed}${input.unit_label && !typed.includes(input.unit_label) ? ` ${input.unit_label}` : ""}`;
      return check.inputs.length > 1 ? `${input.label} ${number}` : number;
    });
  const words = { check: check.label, typed: seen.join(", ") };
  const numbers = Object.fromEntries(Object.entries(inputs).flatMap(([name, { value, unit }]) => {
    const scale = check.limit?.inputs?.[name]?.units?.[unit];
    return scale && typeof value === "number" ? [[name, value * scale[0] + scale[1]]] : [];
  }));
  return { key: "typed", numbers, words, text: `${words.check}: ${words.typed}` };
}
