// Photos of a fault, as many as it takes: asked for once the fault itself is safe, since the camera can cost a page its memory.

import { copyOf, el, filled, one } from "../lib/dom.js";
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
  const screen = filled(copyOf("photo-screen"), { part: partLabel });
  screen.append(photoField(fault, first));
  return screen;
}

/** The photos that this phone took of a fault, except those the page shows already: the laptop's page has those that came over. */
const takenOf = async ({ id, ofPart }) => (await keptPhotos(made().filter(({ id: own, body }) => (ofPart ? body.part === ofPart : own === id || body.fault === id)).flatMap(({ body }) => body.photos ?? [])))
  .filter((photo) => !one(`img[src="/photos/${photo.id}"]`));

/**
 * Takes photos one after the other. Each is kept first, then the note that ties it to its fault.
 * @param {Fault} fault
 * @param {string} [first] the id of a photo that the fault already names: the first one taken is that one
 */
export function photoField(fault, first) {
  const field = copyOf("photo-field");
  const [says, taken] = [one("[role=status]", field), one(".photos", field)];
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
  one("input", field).addEventListener("change", take);
  return field;
}
