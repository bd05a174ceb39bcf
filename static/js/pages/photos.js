// Photos of a fault, as many as it takes: asked for once the fault itself is safe, since the camera can cost a page its memory.

import { el, one } from "../lib/dom.js";
import { newId } from "../lib/ids.js";
import { NotKept } from "../store/db.js";
import { keep, made, ready } from "../store/outbox.js";
import { keepPhoto, keptPhotos } from "../store/photos.js";
import { tryNow } from "../sync/keep_trying.js";
import { photoNote } from "./walk/entries.js";

/** @typedef {{id: string, ofPart?: string, symptom: string, robot: string | null, match: string | null}} Fault or, with `ofPart`, what a photo of a part shows */

/** The laptop's page of a fault. */
export function start() {
  const place = one("[data-photos-of]");
  if (!place) return;
  const { photosOf, symptom, robot, match } = place.dataset;
  place.append(photoField({ id: photosOf, symptom, robot: robot || null, match: match || null }));
}

/**
 * The screen after a fault was logged.
 * @param {string} partLabel
 * @param {Fault} fault
 * @param {string} first the id of a photo that the fault already names
 */
export function photoScreen(partLabel, fault, first) {
  return el("section", { class: "walk stack" },
    el("div", {}, el("p", { class: "walk-part" }, partLabel), el("h1", { tabindex: "-1" }, "The fault is kept. Now its photos")),
    photoField(fault, first));
}

/** What this phone took of a fault, but for what the page shows already: the laptop's page has those that came over. */
const takenOf = async ({ id, ofPart }) => (await keptPhotos(made().filter(({ id: own, body }) => (ofPart ? body.part === ofPart : own === id || body.fault === id)).flatMap(({ body }) => body.photos ?? [])))
  .filter((photo) => !one(`img[src="/photos/${photo.id}"]`));

/**
 * Takes photos one after the other. Each is kept first, then the note that ties it to its fault.
 * @param {Fault} fault
 * @param {string} [first] the id of a photo that the fault already names: the first one taken is that one
 */
export function photoField(fault, first) {
  const says = el("p", { role: "status" });
  const taken = el("div", { class: "photos" });
  let named = first;
  const hang = ({ bytes, type }) =>
    taken.append(el("img", { src: URL.createObjectURL(new Blob([bytes], { type })), alt: `Photo ${taken.children.length + 1}, taken with this phone` }));
  const keepOne = async (file) => {
    const photo = await keepPhoto(file, named ?? newId());
    if (!named) await keep(photoNote(fault, photo.id));
    named = undefined;
    hang(photo);
  };
  const take = async ({ target }) => {
    says.textContent = "Keeping it …";
    try {
      for (const file of [...target.files]) await keepOne(file);
      says.textContent = `${taken.children.length === 1 ? "1 photo" : `${taken.children.length} photos`} kept. Another one?`;
      tryNow();
    } catch (problem) {
      if (!(problem instanceof NotKept)) throw problem;
      says.textContent = problem.sentence;
    }
    target.value = "";
  };
  ready.then(() => takenOf(fault)).then((photos) => photos.forEach(hang)).catch(() => {});
  return el("div", { class: "stack-tight" },
    el("div", { class: "field" }, el("label", { for: "photo" }, "Photo of the part"),
      el("input", { id: "photo", type: "file", accept: "image/jpeg,image/*", capture: "environment", multiple: true, onchange: take })),
    says, taken,
    el("p", { class: "soft small" }, "Made smaller, kept here, and handed over after everything else."));
}
