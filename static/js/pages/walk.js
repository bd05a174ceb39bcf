// The Walk: one check a screen. Readings are kept on the phone the moment they are taken and handed over as the laptop answers.

import { drawGauge } from "../lib/gauge.js";
import { el, embedded, one, wordsOf } from "../lib/dom.js";
import { newId } from "../lib/ids.js";
import { judge } from "../lib/verdict.js";
import { keep, onChange, ready, waiting } from "../store/outbox.js";
import { unsentSentence } from "../sync/status.js";
import { faultEntry, faultOf, readingEntry, skippedEntry, symptomOf } from "./walk/entries.js";
import { cardScreen, rowsOf } from "./walk/card.js";
import { checksOf, gateBefore, nextOf, progressOf, unsentAnswers, zoneOf } from "./walk/plan.js";
import { fit, watchKeypad } from "./walk/fit.js";
import { checkHead, endScreen, faultScreen, gateScreen, progressLine, reasonScreen, verdictBox } from "./walk/screens.js";
import { photoScreen } from "./photos.js";
import { fieldsOf } from "./walk/take.js";

/** Starts the page. */
export async function start() {
  const snapshot = embedded("snapshot");
  if (!snapshot) return;
  if (snapshot.drawings) putBack(snapshot);
  await walkWith(snapshot);
}

/** The page carries what checks share once, and its place in the check; the snapshot carries them whole. */
function putBack({ checks, drawings, units }) {
  for (const check of checks) {
    check.drawing = drawings[check.drawing] ?? "";
    check.key ??= `${check.check}@${check.part}`;
    for (const [name, input] of Object.entries(check.limit?.inputs ?? {})) {
      input.label = check.inputs.find((item) => item.name === name)?.label ?? name;
      if ("units" in input) input.units = units[input.units] ?? {};
    }
  }
}

/** Draws the Walk without the laptop, where the phone has a snapshot. */
export function takeOver(place, actions, snapshot) {
  if (!snapshot) return false;
  place.replaceChildren(el("div", { id: "walk", class: "walk" }));
  walkWith(snapshot);
  return true;
}

/**
 * Starts a walk as the page's address wishes it.
 * @param {any} snapshot
 */
async function walkWith(snapshot) {
  await ready;
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
    this.checks = checksOf(snapshot, wish);
    /** @type {Map<string, string>} */
    this.answers = wish.check ? new Map() : unsentAnswers(this.checks, waiting());
    this.alone = Boolean(wish.check);
    this.before = null;
    this.passed = false;
    this.faults = 0;
    this.saving = false;
  }

  /** Shows whatever comes next: a gate, a check, or the end. */
  next() {
    const check = nextOf(this.checks, this.answers);
    if (!check) return this.end();
    const gate = this.passed ? null : gateBefore(this.snapshot, this.before, check);
    if (gate) return this.gate(gate);
    return !this.alone && rowsOf([check]).length ? this.card() : this.check(check);
  }

  gate(gate) {
    const word = { off: "Off and at rest", on: "On, and disabled", enabled: "Answered: safe" }[gate.power];
    this.show([gateScreen(gate)], [button("Leave the walk", "/now"), button(word, () => {
      this.passed = true;
      this.next();
    }, "main")]);
  }

  /** All rows of the hold path on one screen; each is kept as it is tapped. */
  card() {
    const rows = rowsOf(this.checks);
    const left = () => rows.filter(({ key }) => !this.answers.has(key));
    const wanted = el("p", { class: "error", role: "alert", hidden: true });
    const go = () => {
      wanted.hidden = !left().length;
      wanted.textContent = `Not looked at yet: ${left().map((check) => check.part_label).join(", ")}. Tap each one, or say why you can't.`;
      if (wanted.hidden) this.next();
    };
    const answered = (check, verdict) => {
      this.answered(check, verdict);
      wanted.hidden = true;
    };
    const act = { keep, answered, open: (check, answer) => this.check(check, answer) };
    this.show([cardScreen(this.snapshot, rows, this.answers, act), wanted], [
      button("Can't look", () => this.reason(left(), () => this.card())), button("Go on", go, "main"),
    ]);
  }

  /** @param {any} check @param {string} [answer] one that was tapped already, on the card */
  check(check, answer) {
    const zoneLabel = zoneOf(this.snapshot, check.zone).label;
    const verdict = el("div", { class: "walk-verdict", "aria-live": "polite" });
    const gauge = el("div", {});
    const fields = fieldsOf(check, (form) => this.judge(check, form, gauge, verdict));
    const form = el("form", { class: "walk", id: "take", novalidate: true, onsubmit: (event) => {
      event.preventDefault();
      this.keep(check, fields);
    } },
    progressLine(progressOf(this.checks, this.answers, check), zoneLabel), ...checkHead(check).filter(Boolean),
    el("div", { class: "card walk-take" }, fields.element, gauge), verdict, fields.aside || "");
    const show = () => this.show([form], [
      button("Can't measure", () => this.reason([check], show)), button("Keep and next", () => form.requestSubmit(), "main"),
    ]);
    show();
    for (const radio of answer ? form.querySelectorAll("input[type=radio]") : []) radio.checked = radio.value === answer;
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

  keep(check, fields) {
    const wanting = certain(check, fields.read()) ? null : fields.insist();
    if (wanting) return wanting.focus();
    const { inputs } = fields.read();
    const judgement = judge(check.limit, inputs, check.unjudged_because);
    const entry = readingEntry(this.snapshot, check, inputs, judgement);
    this.save(entry, () => {
      this.answered(check, judgement.verdict);
      if (judgement.verdict === "stop") this.fault(check, judgement, symptomOf(check, inputs), entry.id);
      else this.next();
    });
  }

  /** Keeps an entry, and goes on once it is safe; a second press while that goes on does nothing. */
  async save(entry, then) {
    if (this.saving) return;
    this.saving = true;
    await keep(entry);
    this.saving = false;
    then();
  }

  /** Asks why not, once for all of some checks; `back` shows the screen again with what was typed. */
  reason(checks, back) {
    if (!checks.length) return this.next();
    const [check, ...rest] = checks;
    const chosen = (why) => this.save(skippedEntry(this.snapshot, check, why), async () => {
      this.answered(check, "skipped");
      for (const other of rest) {
        await keep(skippedEntry(this.snapshot, other, why));
        this.answered(other, "skipped");
      }
      this.next();
    });
    this.show([reasonScreen(checks, chosen)], [button("Go back", back)]);
  }

  fault(check, judgement, symptom, reading) {
    const screen = faultScreen(check, judgement, symptom.text, this.snapshot);
    this.show([screen.element], [button("No fault, go on", () => this.next()), button(wordsOf("log-fault"), () => {
      const { photo, ...fault } = screen.read();
      const entry = faultEntry(this.snapshot, check.part, { ...fault, reading, photos: photo ? [newId()] : [] }, symptom);
      this.save(entry, () => {
        this.faults += 1;
        if (photo) this.photo(check, entry);
        else this.next();
      });
    }, "main")]);
  }

  /** The fault is safe; only now may the camera open, since that can cost the page its memory. */
  photo(check, entry) {
    const screen = photoScreen(check.part_label, faultOf(entry), entry.body.photos[0]);
    this.show([screen], [button("Go on", () => this.next(), "main")]);
  }

  end() {
    const here = new Set(this.checks.map((check) => check.key));
    const due = this.snapshot.checks.filter((check) => check.due && !here.has(check.key));
    const zones = [...new Set(due.map((check) => check.zone))].map((zone) => ({
      label: zoneOf(this.snapshot, zone).label, href: `/walk?zone=${encodeURIComponent(zone)}`, count: due.filter((check) => check.zone === zone).length,
    }));
    this.show([endScreen({ checks: this.checks, answers: this.answers, left: zones, unsent: unsentSentence(), faults: this.faults })],
      [button(wordsOf("back-to-now"), "/now", "main")]);
    onChange(() => {
      const line = one("[data-kept]");
      if (line) line.textContent = unsentSentence();
    });
  }

  answered(check, answer) {
    this.answers.set(check.key, answer);
    this.before = check;
    this.passed = false;
  }

  show(content, buttons) {
    delete document.body.dataset.typing;
    this.place.replaceChildren(...content);
    this.actions.replaceChildren(...buttons);
    scrollTo(0, 0);
    this.place.querySelector("h1")?.focus({ preventScroll: true });
  }
}

/** The stop that no answer still missing could change; null while the rest could. */
function certain(check, { inputs, wrong }) {
  const found = wrong.length || !Object.keys(inputs).length ? null : judge(check.limit, inputs, check.unjudged_because);
  return found?.verdict === "stop" ? found : null;
}

function button(words, act, kind = "") {
  const className = `button${kind ? ` button-${kind}` : ""}`;
  if (typeof act === "string") return el("a", { class: className, href: act }, words);
  return el("button", { type: "button", class: className, onclick: act }, words);
}
