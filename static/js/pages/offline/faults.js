// Faults without the laptop: those it knew and those logged here, logging one with a photo, and saying that one is repaired.

import { copyOf, el, filled, one, pieceFrom, piecesFrom } from "../../lib/dom.js";
import { newId } from "../../lib/ids.js";
import { photoField, photoScreen } from "../photos.js";
import { correctionEntry, entryOf, faultEntry, faultOf } from "../walk/entries.js";
import { notYet } from "./not_yet.js";
import { corrected, mistakeButton, ownEntry, saidBefore, standing } from "./own.js";
import { labelOf } from "./worse.js";

/** @typedef {{main: Node[], actions: Node[]}} Screen */
/** @typedef {(entry: any, then: () => void) => void} Save keeps an entry and then goes on */

const SHOWN = ["open", "deferred", "repaired"];

/** @param {any} given @returns {Screen | null} */
export function alone({ snapshot, entries, rest, save, show }) {
  if (!rest) return faultsScreen(snapshot, entries);
  return rest === "new" ? newFaultScreen(snapshot, save, show) : oneFaultScreen(snapshot, entries, rest, save);
}

/** All faults that are not closed, own ones first. @param {any} snapshot @param {any[]} entries @returns {Screen} */
function faultsScreen(snapshot, entries) {
  const known = faultsWith(snapshot, entries);
  const group = (state) => {
    const rows = known.filter((fault) => fault.state === state).map((fault) => row(snapshot, fault));
    const drawn = filled(copyOf(`faults-${state}`), { count: String(rows.length) });
    if (rows.length) one("ul", drawn).replaceChildren(...rows);
    return drawn;
  };
  return { main: [el("h1", {}, "Faults"), ...SHOWN.map(group)], actions: [copyOf("new-fault-link")] };
}

/** The laptop's faults and this phone's own, as they stand with its moves; an expired deferral is an open fault. */
function faultsWith(snapshot, entries) {
  const own = entries.filter((entry) => entry.kind === "fault").map(({ id, body, match }) => ({ ...body, id, match, state: "open", own: true }));
  const moved = new Map(entries.filter((entry) => entry.kind === "fault_move").map(({ body }) => [body.fault, body.to]));
  return [...own.reverse(), ...corrected(snapshot.faults, entries)].map((fault) => ({ ...fault, state: moved.get(fault.id) ?? (fault.expired ? "open" : fault.state) }));
}

function row(snapshot, fault) {
  const where = [labelOf(snapshot, fault.part), fault.own ? "on this phone" : runOf(snapshot, fault.match), ...(fault.marks ?? [])].filter(Boolean).join(", ");
  const drawn = filled(copyOf("fault-row"), { symptom: fault.symptom, more: where });
  one("a", drawn).setAttribute("href", `/faults/${fault.id}`);
  one("[data-mark]", drawn).append(copyOf(`grade-${fault.grade}`));
  return drawn;
}

/**
 * Logging a fault: saved first, its photo after that.
 * @param {any} snapshot
 * @param {Save} save
 * @param {(screen: Screen) => void} show
 * @returns {Screen}
 */
function newFaultScreen(snapshot, save, show) {
  const wish = new URLSearchParams(location.search);
  const asked = piecesFrom(snapshot.fixed?.fault);
  if (!asked.length) return { main: [copyOf("new-fault"), notYet()], actions: [copyOf("leave-fault")] };
  const form = faultForm(asked, ({ photo, ...given }) => {
    const entry = faultEntry(snapshot, given.part, { ...given, reading: null, photos: photo ? [newId()] : [] });
    save(entry, () => (entry.body.photos.length ? show(photoOf(snapshot, entry)) : location.assign("/faults")));
  });
  one(".error", form).before(copyOf("photos-next"));
  one("#part", form).value = wish.get("part") ?? "";
  return { main: [copyOf("new-fault"), form], actions: [copyOf("leave-fault"), copyOf("log-fault")] };
}

/** What is asked about a fault; `keep` gets what was answered, once nothing is missing. */
function faultForm(asked, keep) {
  const error = el("p", { class: "error", role: "alert", hidden: true });
  return el("form", { class: "stack", id: "fault", novalidate: true, onsubmit: (event) => {
    event.preventDefault();
    const given = new FormData(event.target);
    const [part, symptom, grade] = ["part", "symptom", "grade"].map((name) => String(given.get(name) ?? "").trim());
    error.textContent = !part ? "Pick the part." : !symptom ? "Say what you see, hear or measure." : !grade ? "Pick how bad it is." : "";
    error.hidden = !error.textContent;
    if (!error.textContent) keep({ part, symptom, grade, photo: given.has("photo") });
  } }, ...asked, error);
}

/** A fault that this phone logged: it can be corrected or taken back here; what it said before stays, folded. */
function ownCard(snapshot, id, save) {
  const [entry, asked] = [ownEntry(id), piecesFrom(snapshot.fixed?.fault)];
  if (!entry) return [];
  const now = standing(entry);
  const form = asked.length > 0 && faultForm(asked, ({ part, symptom, grade }) => {
    const { said, ...kept } = now;
    save(correctionEntry(entry, { ...kept, ...(symptom === now.symptom && said && { said }), part, symptom, grade }, "Typed wrong"), () => location.reload());
  });
  if (form) {
    for (const name of ["part", "symptom"]) one(`[name=${name}]`, form).value = now[name];
    for (const radio of form.querySelectorAll("[name=grade]")) radio.checked = radio.value === now.grade;
    form.append(el("button", { class: "button button-main" }, "Correct it"));
  }
  return [el("details", { class: "card" }, el("summary", {}, "Correct it"), el("div", { class: "stack" }, form || notYet())),
    saidBefore(entry, ({ symptom, grade, part }) => `${symptom} (${grade}), ${labelOf(snapshot, part)}`),
    mistakeButton(entry, save, () => location.assign("/faults"))];
}

function photoOf(snapshot, entry) {
  return { main: [photoScreen(labelOf(snapshot, entry.body.part), faultOf(entry), entry.body.photos[0])], actions: [el("a", { class: "button button-main", href: "/faults" }, "Go on")] };
}

/**
 * One fault, and that it is repaired; deferring and proving need the laptop.
 * @param {any} snapshot
 * @param {any[]} entries
 * @param {string} id
 * @param {Save} save
 * @returns {Screen | null}
 */
function oneFaultScreen(snapshot, entries, id, save) {
  const fault = faultsWith(snapshot, entries).find((item) => item.id === id);
  if (!fault) return null;
  const form = fault.state === "repaired" ? null : repairForm(snapshot, id, save);
  return {
    main: [el("div", { class: "stack-tight" }, el("p", { class: "soft" }, labelOf(snapshot, fault.part)), el("h1", {}, fault.symptom),
      el("p", {}, copyOf(`grade-${fault.grade}`), " · ", copyOf(`state-${fault.state}`))),
    fault.restriction && el("p", { class: "banner" }, `Drive team must not: ${fault.restriction}`), form,
    el("section", { class: "card stack-tight" }, el("h2", {}, "Photos"), photoField({ ...fault, robot: snapshot.robot?.name ?? null })),
    ...ownCard(snapshot, id, save),
    el("p", { class: "soft" }, "Whether to play with it, and that a repair holds, is recorded where the laptop answers.")].filter(Boolean),
    actions: [el("a", { class: "button", href: "/faults" }, "All faults")],
  };
}

function repairForm(snapshot, id, save) {
  const form = pieceFrom(snapshot.fixed?.repair);
  if (!form) return notYet();
  const why = one("textarea", form);
  const error = el("p", { class: "error", role: "alert", hidden: true }, "Say what was done, so that the next crew knows.");
  why.after(error);
  one("button", form).addEventListener("click", () => {
    error.hidden = Boolean(why.value.trim());
    if (error.hidden) save(entryOf(snapshot, "fault_move", { fault: id, to: "repaired", why: why.value.trim() }), () => location.assign("/faults"));
  });
  return form;
}

const runOf = (snapshot, match) => snapshot.schedule.find((run) => run.run === match)?.label ?? "";
