// What a walk has asked and this phone has answered: each answer with its entry, so that it can be undone, corrected or taken back.

import { inForce } from "../../lib/corrected.js";
import { made, madeSince, waiting } from "../../store/outbox.js";
import { forgetTyped, keepWalk, walkFor } from "../../store/progress.js";
import { correctionEntry, undoEntry } from "./entries.js";
import { answerOf, checksOf, ownAnswers } from "./plan.js";
import { Undo } from "./undo.js";

export class Kept {
  /**
   * @param {any} snapshot
   * @param {{zone: string | null, check: string | null, card: string | null}} wish
   */
  constructor(snapshot, wish) {
    this.snapshot = snapshot;
    this.checks = checksOf(snapshot, wish);
    /** @type {Map<string, any>} the last answer of this phone to each check, as its entry */
    this.own = new Map();
    if (!wish.check) this.goOn(walkFor(`${wish.card ?? ""}/${wish.zone ?? ""}`));
    /** @type {Map<string, string>} */
    this.answers = new Map([...this.own].map(([key, entry]) => [key, answerOf(entry)]));
    this.undo = new Undo();
  }

  /** Goes on where this phone was before it was locked or the page was loaded again; what was answered stays a step. */
  goOn(walk) {
    const [here, since] = [new Set(this.checks.map(({ key }) => key)), inForce(made()).filter(({ at }) => Date.parse(at) >= walk.since)];
    const gone = walk.steps.filter(({ key }) => !here.has(key));
    const fresh = inForce(this.snapshot.log ? madeSince(this.snapshot) : waiting(), made());
    const steps = [...gone, ...this.checks];
    this.own = ownAnswers(this.snapshot, steps, { fresh, since });
    this.checks = steps.filter(({ key }) => here.has(key) || this.own.has(key));
    keepWalk({ ...walk, steps: this.checks.map(({ key, label, part_label, zone }) => ({ key, label, part_label, zone })) });
  }

  /** An answer is kept: it stands, and for a moment it can be undone. `was`: what it corrected. */
  keep(check, entry, again, was = null) {
    const before = was ?? this.own.get(check.key) ?? null;
    const back = was ? () => correctionEntry(was, was.body, undoEntry(was).body.why) : () => undoEntry(entry);
    this.undo.kept(back, `${check.label}, ${check.part_label}`, () => {
      this.stand(check, before);
      again();
    });
    forgetTyped();
    this.stand(check, entry);
  }

  /** Several are kept at once, and undone at once. @param {[any, any][]} pairs checks with their entries */
  keepAll(pairs, again) {
    const before = pairs.map(([{ key }]) => this.own.get(key) ?? null);
    for (const [check, entry] of pairs) this.stand(check, entry);
    this.undo.kept(() => pairs.map(([, entry]) => undoEntry(entry)), pairs.map(([{ label, part_label: part }]) => `${label}, ${part}`).join("; "), () => {
      pairs.forEach(([check], place) => this.stand(check, before[place]));
      again();
    });
  }

  /** @param {any} check @param {any | null} entry what this phone says of it now */
  stand(check, entry) {
    this.own.delete(check.key);
    this.answers.delete(check.key);
    if (!entry) return;
    this.own.set(check.key, entry);
    this.answers.set(check.key, answerOf(entry));
  }

  /** The check that was answered before this one, or before the next; null where there is none. */
  back(walk, current) {
    const trail = [...this.own.keys()].filter((key) => this.checks.some((item) => item.key === key && item.inputs));
    const place = trail.indexOf(current?.key);
    const key = place < 0 ? trail.at(-1) : trail[place - 1];
    return key ? { label: this.checks.find((item) => item.key === key).label, go: () => walk.step(key) } : null;
  }
}
