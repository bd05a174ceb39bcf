// QR codes (ISO/IEC 18004) in byte mode, versions 1 to 25, levels L and M, one mask at a time. Packed bytes look random, so no
// mask is worse than another and none is searched for. tests/web/test_qr.py holds the modules against another encoder's.

import { correction } from "./reed_solomon.js";

/** Error correction codewords of a block, and how many blocks, by level and version (ISO/IEC 18004, table 9). */
const BLOCKS = {
  L: [[7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28, 28, 28, 30, 30, 26],
    [1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8, 8, 9, 9, 10, 12]],
  M: [[10, 16, 26, 18, 24, 16, 18, 22, 22, 26, 30, 22, 22, 24, 24, 28, 28, 26, 26, 26, 26, 28, 28, 28, 28],
    [1, 1, 1, 2, 2, 4, 4, 4, 5, 5, 5, 8, 9, 9, 10, 10, 11, 13, 14, 16, 17, 17, 18, 20, 21]],
};
const LEVEL_BITS = { L: 1, M: 0 };
const MASKS = [
  (row, column) => (row + column) % 2 === 0, (row) => row % 2 === 0, (row, column) => column % 3 === 0, (row, column) => (row + column) % 3 === 0,
  (row, column) => (Math.floor(row / 2) + Math.floor(column / 3)) % 2 === 0, (row, column) => ((row * column) % 2) + ((row * column) % 3) === 0,
  (row, column) => (((row * column) % 2) + ((row * column) % 3)) % 2 === 0, (row, column) => (((row + column) % 2) + ((row * column) % 3)) % 2 === 0,
];
const BYTE_MODE = 0b0100;
const PADS = [0xec, 0x11];

/** @typedef {{size: number, dark: Uint8Array}} Code modules row by row, 1 for dark, without the quiet zone */
/** @typedef {{size: number, dark: Uint8Array, fixed: Uint8Array}} Field */

/**
 * How many bytes a code takes.
 * @param {number} version
 * @param {"L" | "M"} level
 */
export function capacity(version, level) {
  return dataLength(emptyField(version), version, level) - (version < 10 ? 2 : 3);
}

/**
 * @param {Uint8Array} bytes
 * @param {{version: number, level: "L" | "M", mask?: number}} how
 * @returns {Code}
 */
export function encode(bytes, { version, level, mask = 0 }) {
  const field = emptyField(version);
  const room = dataLength(field, version, level);
  if (bytes.length > capacity(version, level)) throw new RangeError(`${bytes.length} bytes do not fit a code of version ${version}-${level}.`);
  fill(field, interleaved(padded(bytes, version, room), version, level), MASKS[mask]);
  drawFormat(field, (LEVEL_BITS[level] << 3) | mask);
  return { size: field.size, dark: field.dark };
}

function dataLength({ fixed }, version, level) {
  const free = fixed.reduce((count, is) => count - is, fixed.length);
  const [each, count] = BLOCKS[level].map((row) => row[version - 1]);
  return Math.floor(free / 8) - each * count;
}

/** Mode, length and bytes as a stream of bits, ended and filled up to `room` codewords. */
function padded(bytes, version, room) {
  const codewords = new Uint8Array(room);
  let at = 0;
  const push = (value, bits) => {
    for (let bit = bits - 1; bit >= 0; bit -= 1, at += 1) codewords[at >> 3] |= ((value >> bit) & 1) << (7 - (at & 7));
  };
  push(BYTE_MODE, 4);
  push(bytes.length, version < 10 ? 8 : 16);
  for (const byte of bytes) push(byte, 8);
  at = Math.min(at + 4, room * 8);
  for (let place = Math.ceil(at / 8), turn = 0; place < room; place += 1, turn += 1) codewords[place] = PADS[turn % 2];
  return codewords;
}

/** Blocks with their correction, read across: first all first codewords, and so on. The last blocks may be one longer. */
function interleaved(data, version, level) {
  const [each, count] = BLOCKS[level].map((row) => row[version - 1]);
  const short = Math.floor(data.length / count);
  const firstLong = count - (data.length % count);
  const blocks = [];
  for (let number = 0, at = 0; number < count; number += 1) {
    const length = short + (number >= firstLong ? 1 : 0);
    blocks.push(data.subarray(at, at + length));
    at += length;
  }
  const across = (rows, longest) => Array.from({ length: longest }, (_, place) => rows.filter((row) => place < row.length).map((row) => row[place])).flat();
  return [...across(blocks, short + 1), ...across(blocks.map((block) => correction(block, each)), each)];
}

/** Writes the codewords up and down the columns from the right, two at a time, around what is fixed. */
function fill({ size, dark, fixed }, codewords, masked) {
  let bit = 0;
  for (let right = size - 1, up = true; right > 0; right -= right === 8 ? 3 : 2, up = !up) {
    for (let step = 0; step < size; step += 1) {
      const row = up ? size - 1 - step : step;
      for (const column of [right, right - 1]) {
        const place = row * size + column;
        if (fixed[place]) continue;
        const value = ((codewords[bit >> 3] ?? 0) >> (7 - (bit & 7))) & 1;
        dark[place] = value ^ (masked(row, column) ? 1 : 0);
        bit += 1;
      }
    }
  }
}

/** A field with all that does not depend on the content; room for the format is reserved. @returns {Field} */
function emptyField(version) {
  const size = 17 + 4 * version;
  const field = { size, dark: new Uint8Array(size * size), fixed: new Uint8Array(size * size) };
  for (let place = 0; place < size; place += 1) {
    set(field, 6, place, place % 2 === 0);
    set(field, place, 6, place % 2 === 0);
  }
  for (const [row, column] of [[3, 3], [3, size - 4], [size - 4, 3]]) square(field, row, column, 4, (ring) => ring !== 2 && ring !== 4);
  const places = alignments(version, size);
  for (const row of places) {
    for (const column of places) {
      const onFinder = (row === 6 && column === 6) || (row === 6 && column === size - 7) || (row === size - 7 && column === 6);
      if (!onFinder) square(field, row, column, 2, (ring) => ring !== 1);
    }
  }
  drawFormat(field, 0);
  if (version >= 7) drawVersion(field, version);
  return field;
}

/** Rings around a centre, cut at the edge. */
function square(field, row, column, radius, isDark) {
  for (let down = -radius; down <= radius; down += 1) {
    for (let right = -radius; right <= radius; right += 1) set(field, row + down, column + right, isDark(Math.max(Math.abs(down), Math.abs(right))));
  }
}

function alignments(version, size) {
  if (version === 1) return [];
  const count = Math.floor(version / 7) + 2;
  const step = Math.ceil((size - 13) / (2 * count - 2)) * 2;
  return [6, ...Array.from({ length: count - 1 }, (_, place) => size - 7 - step * (count - 2 - place))];
}

/** Level and mask with their BCH(15, 5) remainder, twice. */
function drawFormat(field, value) {
  const bits = ((value << 10) | remainder(value << 10, 0x537, 10)) ^ 0x5412;
  const { size } = field;
  for (let bit = 0; bit < 15; bit += 1) {
    const dark = ((bits >> bit) & 1) === 1;
    const [row, column] = bit < 6 ? [bit, 8] : bit < 8 ? [bit + 1, 8] : [8, bit === 8 ? 7 : 14 - bit];
    set(field, row, column, dark);
    set(field, bit < 8 ? 8 : size - 15 + bit, bit < 8 ? size - 1 - bit : 8, dark);
  }
  set(field, size - 8, 8, true);
}

/** The version with its BCH(18, 6) remainder, twice. */
function drawVersion(field, version) {
  const bits = (version << 12) | remainder(version << 12, 0x1f25, 12);
  for (let bit = 0; bit < 18; bit += 1) {
    const [along, across] = [Math.floor(bit / 3), field.size - 11 + (bit % 3)];
    set(field, along, across, ((bits >> bit) & 1) === 1);
    set(field, across, along, ((bits >> bit) & 1) === 1);
  }
}

function remainder(value, divisor, degree) {
  let rest = value;
  for (let bit = 31 - Math.clz32(rest); bit >= degree; bit = 31 - Math.clz32(rest)) rest ^= divisor << (bit - degree);
  return rest;
}

function set({ size, dark, fixed }, row, column, isDark) {
  if (row < 0 || column < 0 || row >= size || column >= size) return;
  dark[row * size + column] = isDark ? 1 : 0;
  fixed[row * size + column] = 1;
}
