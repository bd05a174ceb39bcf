// The Walk: one check a screen. Readings are kept on the phone the moment they are taken and handed over as the laptop answers.

import { drawGauge } from "../lib/gauge.js";
import { el, embedded, one, wordsOf } from "../lib/dom.js";
import { judge } from "../lib/verdict.js";
import { keep, onChange, ready } from "../store/outbox.js";
import { endWalk, keepTyped, typedFor } from "../store/progress.js";
import { unsentSentence } from "../sync/status.js";
import { correctionEntry, readingEntry, skippedEntry, symptomOf } from "./walk/entries.js";
import { stayAwake } from "./walk/awake.js";
import { cardScreen, looksWith, rowsOf } from "./walk/card.js";
import { gateBefore, nextOf, progressOf, zoneOf } from "./walk/plan.js";
import { fit, watchKeypad } from "./walk/fit.js";
import { button, checkHead, endScreen, gateScreen, keptBox, progressLine, reasonScreen, verdictBox } from "./walk/screens.js";
import { faultAfter, logFault, stray } from "./walk/faults.js";
import { Kept } from "./walk/kept.js";
import { fieldsOf, refill, typedIn } from "./walk/take.js";
import { unpack } from "./walk/unpack.js";

/** Starts the page. */
export async function start() {
  const snapshot = embedded("snapshot");
  if (!snapshot) return;
  unpack(snapshot);
  await walkWith(snapshot);
}

/** Draws the Walk without the laptop, where the phone has a snapshot. */
export function takeOver(place, actions, snapshot) {
  if (!snapshot) return false;
  place.replaceChildren(el("div", { id: "walk", class: "walk" }));
  walkWith(snapshot);
  return true;
}

/**
 * Starts the walk that the page's address asks for.
 * @param {any} snapshot
 */
async function walkWith(snapshot) {
  await ready;
  stayAwake(true);
  const wish = new URLSearchParams(location.search);
  new Walk(one("#walk"), one(".actions-in"), snapshot, { zone: wish.get("zone"), check: wish.get("check"), card: wish.get("card") }).next();
}

class Walk {
  /**
   * @param {HTMLElement} place where the screens go
   * @param {HTMLElement} actions where the two buttons go
   * @param {any} snapshot
   * @param {{zone: string | null, check: string | null, card: string | null}} wish
   */
  constructor(place, actions, snapshot, wish) {
    this.place = place;
    this.actions = actions;
    this.snapshot = snapshot;
    this.alone = Boolean(wish.check);
    this.kept = new Kept(snapshot, wish);
    /** The check whose state of power holds. */
    this.before = null;
    this.faults = 0;
    this.saving = false;
  }

  /** Shows what comes next: a check, or the end. */
  next() {
    const check = nextOf(this.kept.checks, this.kept.answers);
    if (check) this.go(check);
    else this.end();
  }

  /** Shows a check, behind its gate where the robot is in another state. */
  go(check) {
    const gate = gateBefore(this.snapshot, this.before, check);
    if (gate) return this.gate(gate, check);
    this.before = check;
    const rows = this.alone ? [] : rowsOf([check]).length ? rowsOf(this.kept.checks) : looksWith(this.snapshot, this.kept.checks, check);
    return rows.length ? this.card(rows) : this.check(check);
  }

  /** A step of the progress: false where this page does not have the check whole. */
  step(key) {
    const check = this.kept.checks.find((item) => item.key === key && item.inputs);
    if (check) this.go(check);
    return Boolean(check);
  }

  gate(gate, check) {
    const word = { off: "Off and at rest", on: "On, and disabled", enabled: "Answered: safe" }[gate.power];
    this.show([gateScreen(gate)], [button("Leave the walk", "/now"), button(word, () => {
      this.before = check;
      this.go(check);
    }, "main")], this.kept.back(this, check));
  }

  /** All rows of a card on one screen; each is kept as it is tapped. */
  card(rows) {
    const left = () => rows.filter(({ key }) => !this.kept.answers.has(key));
    const wanted = el("p", { class: "error", role: "alert", hidden: true });
    const go = () => {
      wanted.hidden = !left().length;
      wanted.textContent = `Not looked at yet: ${left().map((check) => check.part_label).join(", ")}. Tap each one, or say why you can't.`;
      if (wanted.hidden) this.next();
    };
    const kept = async (check, entry) => {
      await keep(entry);
      this.kept.keep(check, entry, () => this.card(rows));
      wanted.hidden = true;
      actions();
    };
    const act = { kept, open: (check, answer) => this.check(check, { answer }) };
    const actions = () => this.press([button("Can't look", () => this.reason(left(), () => this.card(rows))), button("Go on", go, "main")], this.kept.back(this, rows[0]));
    this.show([cardScreen(this.snapshot, rows, this.kept.answers, act), wanted], []);
    actions();
  }

  /**
   * One check. An answer of this phone is shown as it was kept, to be corrected or taken back.
   * @param {any} check
   * @param {{answer?: string, typed?: Record<string, string>, again?: boolean}} [given] tapped already on the card; typed before; measured again
   */
  check(check, { answer, typed, again } = {}) {
    const zoneLabel = zoneOf(this.snapshot, check.zone).label;
    const own = again || answer || typed || this.kept.own.get(check.key)?.kind !== "reading" ? null : this.kept.own.get(check.key);
    const verdict = el("div", { class: "walk-verdict", "aria-live": "polite" });
    const gauge = el("div", {});
    const fields = fieldsOf(check, (form) => this.judge(check, form, gauge, verdict));
    const form = el("form", { class: "walk", id: "take", novalidate: true, oninput: () => keepTyped(check.key, typedIn(form)), onsubmit: (event) => {
      event.preventDefault();
      this.keep(check, form, fields, own);
    } },
    progressLine(progressOf(this.kept.checks, this.kept.answers, check), zoneLabel, (key) => this.step(key)), ...checkHead(check).filter(Boolean),
    own && keptBox(symptomOf(check, own.body.inputs).words.typed, own.body.verdict, () => this.check(check, { again: true })),
    el("div", { class: "card walk-take" }, fields.element, gauge), verdict, fields.aside || "");
    const buttons = own
      ? [button(wordsOf("by-mistake"), () => this.mistake(check, own)), button("Correct it", () => form.requestSubmit(), "main")]
      : [button("Can't measure", () => this.reason([check], show)), button("Keep and next", () => form.requestSubmit(), "main")];
    const show = () => this.show([form], buttons, this.kept.back(this, check));
    show();
    const before = own && Object.fromEntries(Object.entries(own.body.inputs).map(([name, input]) => [name, input.typed]));
    refill(form, { ...before, ...typedFor(check.key), ...typed, ...(answer && { [check.inputs[0].name]: answer }) });
    this.judge(check, fields.read(), gauge, verdict);
    fit(form, verdict, this.actions);
    watchKeypad(form.querySelector(".walk-take"));
  }

  /** The verdict as far as the answers go: nothing is said before every answer is in that could change it. */
  judge(check, form, gauge, verdict) {
    const complete = !form.wrong.length && !form.missing.length && Object.keys(form.inputs).length > 0;
    const judgement = complete ? judge(check.limit, form.inputs, check.unjudged_because) : certain(check, form);
    const result = typeof judgement?.result === "number" ? judgement.result : null;
    const drawn = drawGauge(check.limit, result);
    gauge.replaceChildren(...(drawn ? [drawn] : []));
    verdict.replaceChildren(verdictBox(judgement, check, form.missing));
    if (judgement && !("typing" in document.body.dataset)) verdict.scrollIntoView({ block: "nearest" });
  }

  /** Keeps what was typed: as a reading, or as what the reading `own` should have been. */
  keep(check, form, fields, own) {
    const wanting = certain(check, fields.read()) ? null : fields.insist();
    if (wanting) return wanting.focus();
    const { inputs } = fields.read();
    const judgement = judge(check.limit, inputs, check.unjudged_because);
    const reading = readingEntry(this.snapshot, check, inputs, judgement);
    const stands = own ? { ...own, body: { ...reading.body, photos: own.body.photos ?? [] } } : reading;
    const typed = typedIn(form);
    this.save(own ? correctionEntry(own, stands.body, "Typed wrong") : reading, () => {
      this.kept.keep(check, stands, () => this.check(check, own ? {} : { typed }), own);
      const fault = faultAfter(stands.id);
      if (judgement.verdict === "stop" && !fault) logFault(this, check, judgement, symptomOf(check, inputs), stands.id);
      else if (judgement.verdict !== "stop" && fault) stray(this, check, fault, () => this.next());
      else this.next();
    });
  }

  /** What was kept should never have been: the check is asked again. */
  mistake(check, own) {
    this.save(correctionEntry(own, null, wordsOf("by-mistake")), () => {
      this.kept.stand(check, null);
      const fault = faultAfter(own.id);
      const then = () => this.check(check);
      if (fault) stray(this, check, fault, then);
      else then();
    });
  }

  /** Keeps an entry, or several, and goes on once they are safe; a second press while that goes on does nothing. */
  async save(entries, then) {
    if (this.saving) return;
    this.saving = true;
    for (const entry of [entries].flat()) await keep(entry);
    this.saving = false;
    then();
  }

  /** Asks why some checks are not done, once for all of them; `back` shows the screen again with what was typed. */
  reason(checks, back) {
    if (!checks.length) return this.next();
    const chosen = (why) => {
      const pairs = checks.map((check) => [check, skippedEntry(this.snapshot, check, why)]);
      this.save(pairs.map(([, entry]) => entry), () => {
        this.kept.keepAll(pairs, back);
        this.next();
      });
    };
    this.show([reasonScreen(checks, chosen)], [button("Go back", back)]);
  }

  end() {
    stayAwake(false);
    if (!this.alone) endWalk();
    const here = new Set(this.kept.checks.map((check) => check.key));
    const due = this.snapshot.checks.filter((check) => check.due && !here.has(check.key));
    const zones = [...new Set(due.map((check) => check.zone))].map((zone) => ({
      label: zoneOf(this.snapshot, zone).label, href: `/walk?zone=${encodeURIComponent(zone)}`, count: due.filter((check) => check.zone === zone).length,
    }));
    this.show([endScreen({ checks: this.kept.checks, answers: this.kept.answers, left: zones, unsent: unsentSentence(), faults: this.faults })],
      [button(wordsOf("back-to-now"), "/now", "main")], this.kept.back(this, null));
    onChange(() => {
      const line = one("[data-kept]");
      if (line) line.textContent = unsentSentence();
    });
  }

  /** @param {Node[]} content @param {HTMLElement[]} buttons @param {{label: string, go: () => void} | null} [back] */
  show(content, buttons, back = null) {
    delete document.body.dataset.typing;
    this.place.replaceChildren(...content);
    this.press(buttons, back);
    scrollTo(0, 0);
    this.place.querySelector("h1")?.focus({ preventScroll: true });
  }

  /** The buttons at the bottom, at their left the way back. */
  press(buttons, back) {
    const undo = ({ takeBack, again }) => this.save(takeBack(), again);
    this.actions.replaceChildren(...[this.kept.undo.button(undo, back), ...buttons].filter(Boolean));
  }
}

/** The stop that no answer still missing could change; null while the rest could. */
function certain(check, { inputs, wrong }) {
  const found = wrong.length || !Object.keys(inputs).length ? null : judge(check.limit, inputs, check.unjudged_because);
  return found?.verdict === "stop" ? found : null;
}
