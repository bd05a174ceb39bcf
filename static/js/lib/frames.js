// A message as a series of frames for codes on a screen, any few more than enough of which give it back; the same bytes as
// pitcrew/exchange/frames.py makes (its head describes them), held together by tests/data/frames.json.

import { crc32 } from "./crc32.js";

const MAGIC = [0x50, 0x43];
const VERSION = 1;
const HEADER = 13;
const CHECK = 4;
const MOST_BLOCKS = 2000;
const ODD = 0x9e3779b1;

/** How many bytes of a message fit into a code of `capacity` bytes. @param {number} capacity */
export const blockSize = (capacity) => capacity - HEADER - CHECK;

/**
 * The blocks summed in frame `number`: about half of the k. A plain xorshift32 is linear over GF(2) and would give no more than
 * 32 independent rows, so each word of 16 bits is the upper half of a product.
 * @param {number} number
 * @param {number} k
 * @returns {boolean[]}
 */
export function mixOf(number, k) {
  let state = Math.imul(number + 1, ODD) || 1;
  const row = [];
  for (let place = 0; place < k; place += 1) {
    if (place % 16 === 0) {
      state ^= state << 13;
      state ^= state >>> 17;
      state ^= state << 5;
    }
    row.push(Boolean((Math.imul(state, ODD) >>> (16 + (place % 16))) & 1));
  }
  return row;
}

/**
 * The endless series of frames of one payload.
 * @param {Uint8Array} packed raw DEFLATE of the payload
 * @param {number} size bytes in a block
 * @returns {{k: number, session: number, frame: (number: number) => Uint8Array}}
 */
export function seriesOf(packed, size) {
  const length = packed.length + 4;
  const k = Math.ceil(length / size);
  if (k > MOST_BLOCKS) throw new RangeError(`This makes ${k} codes; at most ${MOST_BLOCKS} are shown. Hand it over as a file.`);
  const padded = new Uint8Array(k * size);
  new DataView(padded.buffer).setUint32(0, packed.length);
  padded.set(packed, 4);
  const session = crc32(padded.subarray(0, length));
  const block = (place) => padded.subarray(place * size, (place + 1) * size);
  const frame = (number) => framed(session, k, number, number < k ? block(number) : sum(mixOf(number, k), block, size));
  return { k, session, frame };
}

function framed(session, k, number, block) {
  const frame = new Uint8Array(HEADER + block.length + CHECK);
  const view = new DataView(frame.buffer);
  frame.set([...MAGIC, VERSION]);
  view.setUint32(3, session);
  view.setUint16(7, k);
  view.setUint32(9, number);
  frame.set(block, HEADER);
  view.setUint32(frame.length - CHECK, crc32(frame.subarray(0, -CHECK)));
  return frame;
}

function sum(row, block, size) {
  const total = new Uint8Array(size);
  row.forEach((wanted, place) => {
    if (wanted) block(place).forEach((byte, at) => (total[at] ^= byte));
  });
  return total;
}
