// Faults without the laptop: those it knew and those logged here, logging one with a photo, and saying that one is repaired.

import { copyOf, el } from "../../lib/dom.js";
import { newId } from "../../lib/ids.js";
import { photoField, photoScreen } from "../photos.js";
import { entryOf, faultEntry, faultOf } from "../walk/entries.js";
import { GRADES } from "../walk/screens.js";
import { labelOf } from "./worse.js";

/** @typedef {{main: Node[], actions: Node[]}} Screen */
/** @typedef {(entry: any, then: () => void) => void} Save keeps an entry and then goes on */

/** All faults that are not closed, own ones first. @param {any} snapshot @param {any[]} entries @returns {Screen} */
export function faultsScreen(snapshot, entries) {
  const known = faultsWith(snapshot, entries);
  const group = (title, rows, empty) => el("section", { class: "stack-tight" }, el("h2", {}, `${title} `, el("span", { class: "soft number" }, String(rows.length))),
    el("ul", { class: "rows card card-bare" }, ...(rows.length ? rows.map((fault) => row(snapshot, fault)) : [el("li", { class: "empty" }, empty)])));
  const of = (state) => known.filter((fault) => fault.state === state);
  return {
    main: [el("h1", {}, "Faults"), group("Open", of("open"), "Nothing is open."), group("Deferred", of("deferred"), "Nothing is played with."),
      group("Repaired, proof wanted", of("repaired"), "No repair waits for its proof.")],
    actions: [el("a", { class: "button button-main", href: "/faults/new" }, "Log a fault")],
  };
}

/** The laptop's faults and this phone's own, as they stand with its moves; an expired deferral is an open fault. */
function faultsWith(snapshot, entries) {
  const own = entries.filter((entry) => entry.kind === "fault").map(({ id, body, match }) => ({ ...body, id, match, state: "open", own: true }));
  const moved = new Map(entries.filter((entry) => entry.kind === "fault_move").map(({ body }) => [body.fault, body.to]));
  return [...own.reverse(), ...snapshot.faults].map((fault) => ({ ...fault, state: moved.get(fault.id) ?? (fault.expired ? "open" : fault.state) }));
}

function row(snapshot, fault) {
  const where = [labelOf(snapshot, fault.part), fault.own ? "on this phone" : runOf(snapshot, fault.match)].filter(Boolean).join(", ");
  return el("li", {}, el("a", { class: "row-link", href: `/faults/${fault.id}` }, el("span", { class: "row-title" }, [fault.symptom, ...(fault.marks ?? [])].join(", ")),
    el("span", { class: "row-end" }, copyOf(`grade-${fault.grade}`)), el("span", { class: "row-more" }, where)));
}

/**
 * Logging a fault: saved first, its photo after that.
 * @param {any} snapshot
 * @param {Save} save
 * @param {(screen: Screen) => void} show
 * @returns {Screen}
 */
export function newFaultScreen(snapshot, save, show) {
  const wish = new URLSearchParams(location.search);
  const parts = snapshot.parts.map((part) => el("option", { value: part.id, selected: part.id === wish.get("part") }, part.label));
  const grades = GRADES.map(([value, label]) => el("label", { class: "choice" }, el("input", { type: "radio", name: "grade", value }), el("span", {}, label)));
  const error = el("p", { class: "error", role: "alert", hidden: true });
  const form = el("form", { class: "stack", id: "fault", novalidate: true, onsubmit: (event) => {
    event.preventDefault();
    const given = new FormData(event.target);
    const [part, symptom, grade] = ["part", "symptom", "grade"].map((name) => String(given.get(name) ?? "").trim());
    error.textContent = !part ? "Pick the part." : !symptom ? "Say what you see, hear or measure." : !grade ? "Pick how bad it is." : "";
    error.hidden = !error.textContent;
    if (error.textContent) return;
    const entry = faultEntry(snapshot, part, { symptom, grade, reading: null, photos: given.get("photo") ? [newId()] : [] });
    save(entry, () => (entry.body.photos.length ? show(photoOf(snapshot, entry)) : location.assign("/faults")));
  } },
  el("div", { class: "field" }, el("label", { for: "part" }, "Which part"), el("select", { id: "part", name: "part" }, el("option", { value: "" }, "Pick the part"), ...parts)),
  el("div", { class: "field" }, el("label", { for: "symptom" }, "What is wrong"), el("input", { id: "symptom", name: "symptom", type: "text", maxlength: 200, autocomplete: "off" })),
  el("fieldset", { class: "choices" }, el("legend", {}, "How bad"), ...grades),
  el("label", { class: "tick" }, el("input", { type: "checkbox", name: "photo" }), el("span", {}, "Take photos of it next")), error);
  return {
    main: [el("h1", {}, "Log a fault"), form],
    actions: [el("a", { class: "button", href: "/faults" }, "Leave it"), el("button", { class: "button button-main", form: "fault" }, "Log the fault")],
  };
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
export function oneFaultScreen(snapshot, entries, id, save) {
  const fault = faultsWith(snapshot, entries).find((item) => item.id === id);
  if (!fault) return null;
  const why = el("textarea", { id: "why", rows: "3" });
  const error = el("p", { class: "error", role: "alert", hidden: true }, "Say what was done, so that the next crew knows.");
  const repaired = () => {
    error.hidden = Boolean(why.value.trim());
    if (error.hidden) save(entryOf(snapshot, "fault_move", { fault: id, to: "repaired", why: why.value.trim() }), () => location.assign("/faults"));
  };
  const form = el("section", { class: "card stack" }, el("h2", {}, "It is repaired"), el("div", { class: "field" }, el("label", { for: "why" }, "What was done"), why, error),
    el("button", { type: "button", class: "button button-main", onclick: repaired }, "Record the repair"));
  const words = { open: "Open", deferred: "Deferred", repaired: "Repaired, proof wanted" };
  return {
    main: [el("div", { class: "stack-tight" }, el("p", { class: "soft" }, labelOf(snapshot, fault.part)), el("h1", {}, fault.symptom),
      el("p", {}, copyOf(`grade-${fault.grade}`), " · ", el("b", {}, words[fault.state] ?? fault.state))),
    fault.restriction && el("p", { class: "banner" }, `Drive team must not: ${fault.restriction}`), ...(fault.state === "repaired" ? [] : [form]),
    el("section", { class: "card stack-tight" }, el("h2", {}, "Photos"), photoField({ ...fault, robot: snapshot.robot?.name ?? null })),
    el("p", { class: "soft" }, "Whether to play with it, and that a repair holds, is recorded where the laptop answers.")].filter(Boolean),
    actions: [el("a", { class: "button", href: "/faults" }, "All faults")],
  };
}

const runOf = (snapshot, match) => snapshot.schedule.find((run) => run.run === match)?.label ?? "";
