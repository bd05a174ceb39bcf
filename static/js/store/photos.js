// Photos, kept apart from the entries that name them: made smaller on the phone, stored as bytes (blobs get lost on iOS).

import { newId } from "../lib/ids.js";
import { all, put } from "./db.js";
import { PHOTOS } from "./keys.js";

const LONGEST_SIDE = 1600;
const QUALITY = 0.7;

/** @typedef {{id: string, type: string, bytes: ArrayBuffer, log?: string | null, error?: string}} Photo
 *   `log`: whose laptop has answered for it */

/**
 * Keep a photo under an id that an entry names.
 * @param {Blob} file as the camera gave it
 * @param {string} [id]
 * @returns {Promise<Photo>}
 */
export async function keepPhoto(file, id = newId()) {
  const smaller = await scaledDown(file);
  /** @type {Photo} */
  const photo = { id, type: smaller.type || "image/jpeg", bytes: await smaller.arrayBuffer() };
  await put(PHOTOS, photo);
  return photo;
}

/** Photos of these ids that this phone has, in their order. @param {string[]} ids @returns {Promise<Photo[]>} */
export async function keptPhotos(ids) {
  const here = new Map((await all(PHOTOS)).map((photo) => [photo.id, photo]));
  return ids.filter((id) => here.has(id)).map((id) => here.get(id));
}

/** Photos that this log's laptop has not answered for. @param {string | null} log @returns {Promise<Photo[]>} */
export const unsentPhotos = async (log) => (await all(PHOTOS)).filter((photo) => !photo.log || photo.log !== log);

/** The laptop has taken a photo, or refused it for good. @param {Photo} photo @param {string | null} log @param {string} [error] */
export const settlePhoto = (photo, log, error) => put(PHOTOS, { ...photo, log, error });

/** At most 1600 px on the longest side, as JPEG without what cameras write beside the picture. A file no browser can draw stays as it is. */
async function scaledDown(file) {
  let picture;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return file;
  }
  const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * scale);
  canvas.height = Math.round(picture.height * scale);
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((resolve) => canvas.toBlob((blob) => resolve(blob ?? file), "image/jpeg", QUALITY));
}
