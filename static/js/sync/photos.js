// Photos go over one by one after the entries, and from where an earlier try broke off. They never hold an entry up.

import { token } from "../store/device.js";
import { settlePhoto, unsentPhotos } from "../store/photos.js";
import { cursor } from "../store/replica.js";
import { knownAddresses } from "../store/snapshot.js";

const TIMEOUT = 30_000;

/** Sends what the laptop lacks; stops at the first photo that does not get through. @returns {Promise<number>} photos left */
export async function sendPhotos() {
  const { log } = await cursor();
  const photos = await unsentPhotos(log);
  const base = (await knownAddresses().catch(() => null))?.good || location.origin;
  for (const [place, photo] of photos.entries()) {
    if (!(await send(base, photo, log))) return photos.length - place;
  }
  return 0;
}

/** @param {string} base @param {import("../store/photos.js").Photo} photo @param {string | null} log @returns {Promise<boolean>} whether the laptop has answered for it */
async function send(base, photo, log) {
  const address = `${base}/api/photos/${photo.id}`;
  try {
    const held = await ask(address, { method: "HEAD" });
    const offset = held.ok ? Math.min(Number(held.headers.get("X-Held") ?? 0), photo.bytes.byteLength) : 0;
    if (held.ok && offset === photo.bytes.byteLength) return await settled(photo, log);
    const answer = await ask(`${address}?offset=${offset}`, {
      method: "PUT", headers: { "Content-Type": photo.type }, body: new Uint8Array(photo.bytes, offset),
    });
    if (answer.ok) return await settled(photo, log);
    if ([400, 413, 415].includes(answer.status)) return await settled(photo, log, (await answer.json()).error);
    return false;
  } catch {
    return false;
  }
}

async function settled(photo, log, error) {
  await settlePhoto(photo, log, error);
  return true;
}

function ask(address, { headers = {}, ...asked }) {
  const stop = new AbortController();
  setTimeout(() => stop.abort(), TIMEOUT);
  return fetch(address, { ...asked, headers: { ...headers, Authorization: `Bearer ${token()}` }, credentials: "omit", redirect: "error", signal: stop.signal });
}
