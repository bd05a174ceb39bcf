// Photos go over one by one after the entries, and from where an earlier try broke off. They never hold up an entry.

import { sha256Hex } from "../lib/sha256.js";
import { token } from "../store/device.js";
import { waiting } from "../store/outbox.js";
import { settlePhoto, unsentPhotos } from "../store/photos.js";
import { cursor } from "../store/replica.js";
import { knownAddresses } from "../store/snapshot.js";

const TIMEOUT = 30_000;
const PART = 64 * 1024;
const REFUSED = [400, 413, 415];

/** How many photos the laptop has not answered for. */
export const photosLeft = async () => (await unsentPhotos((await cursor()).log)).length;

/** Sends what the laptop lacks; stops at the first photo that does not get through, and where an entry waits. @returns {Promise<number>} photos left */
export async function sendPhotos() {
  const { log } = await cursor();
  const photos = await unsentPhotos(log);
  const base = (await knownAddresses().catch(() => null))?.good || location.origin;
  for (const [place, photo] of photos.entries()) {
    if (!(await send(base, photo, log))) return photos.length - place;
  }
  return 0;
}

/**
 * Part by part, so that a link that breaks costs one part and an entry kept meanwhile waits for one part at most.
 * @param {string} base @param {import("../store/photos.js").Photo} photo @param {string | null} log
 * @returns {Promise<boolean>} whether the laptop has answered for it
 */
async function send(base, photo, log) {
  const bytes = new Uint8Array(photo.bytes);
  const address = `${base}/api/photos/${photo.id}?sha256=${sha256Hex(bytes)}`;
  try {
    const { ok, headers } = await ask(address, { method: "HEAD" });
    if (headers.get("X-Stored")) return await settled(photo, log);
    for (let held = ok ? Number(headers.get("X-Held")) : 0; ; ) {
      const offset = Math.min(held, bytes.length - 1);
      const answer = await ask(`${address}&offset=${offset}&total=${bytes.length}`, {
        method: "PUT", headers: { "Content-Type": photo.type }, body: bytes.subarray(offset, offset + PART),
      });
      if (answer.status === 200) return await settled(photo, log);
      if (REFUSED.includes(answer.status)) return await settled(photo, log, (await answer.json()).error);
      if (answer.status !== 202 || waiting().length) return false;
      ({ held } = await answer.json());
    }
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
