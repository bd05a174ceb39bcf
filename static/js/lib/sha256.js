// SHA-256 (FIPS 180-4). The browser's own is missing on plain http, where a phone may have to hand over too.

/** The first 32 bits of the fractions of the roots of the first primes: cube roots for the rounds, square roots to begin with. */
const PRIMES = Array.from({ length: 312 }, (_, number) => number).filter((number) => number > 1 && !Array.from({ length: number }, (_, by) => by).some((by) => by > 1 && number % by === 0));
const fraction = (root) => ((root - Math.floor(root)) * 2 ** 32) >>> 0;
const ROUNDS = PRIMES.map((prime) => fraction(Math.cbrt(prime)));
const START = PRIMES.slice(0, 8).map((prime) => fraction(Math.sqrt(prime)));

const turn = (word, by) => (word >>> by) | (word << (32 - by));

/** The digest of bytes, or of a text in UTF-8, as 64 hex digits. @param {string | Uint8Array} what */
export const sha256Hex = (what) => hex(sha256(typeof what === "string" ? new TextEncoder().encode(what) : what));

/** HMAC-SHA-256 (RFC 2104) of a text under a key of at most 64 letters of ASCII, as 64 hex digits. @param {string} key @param {string} text */
export function hmacHex(key, text) {
  const block = new Uint8Array(64);
  block.set(new TextEncoder().encode(key));
  const after = (mask, bytes) => {
    const whole = new Uint8Array(block.length + bytes.length);
    whole.set(block.map((byte) => byte ^ mask));
    whole.set(bytes, block.length);
    return sha256(whole);
  };
  return hex(after(0x5c, after(0x36, new TextEncoder().encode(text))));
}

const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");

/**
 * @param {Uint8Array} bytes
 * @returns {Uint8Array} 32 bytes
 */
export function sha256(bytes) {
  const padded = new Uint8Array(Math.ceil((bytes.length + 9) / 64) * 64);
  padded.set(bytes);
  padded[bytes.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(padded.length - 8, Math.floor(bytes.length / 2 ** 29));
  view.setUint32(padded.length - 4, (bytes.length * 8) >>> 0);
  const state = Int32Array.from(START);
  for (let at = 0; at < padded.length; at += 64) compress(state, view, at);
  const digest = new DataView(new ArrayBuffer(32));
  state.forEach((word, place) => digest.setInt32(place * 4, word));
  return new Uint8Array(digest.buffer);
}

function compress(state, view, at) {
  const words = new Int32Array(64);
  for (let place = 0; place < 16; place += 1) words[place] = view.getInt32(at + place * 4);
  for (let place = 16; place < 64; place += 1) {
    const [early, late] = [words[place - 15], words[place - 2]];
    const small = turn(early, 7) ^ turn(early, 18) ^ (early >>> 3);
    const large = turn(late, 17) ^ turn(late, 19) ^ (late >>> 10);
    words[place] = words[place - 16] + small + words[place - 7] + large;
  }
  let [a, b, c, d, e, f, g, h] = state;
  for (let round = 0; round < 64; round += 1) {
    const first = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + ROUNDS[round] + words[round]) | 0;
    const second = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [a, b, c, d, e, f, g, h] = [(first + second) | 0, a, b, c, (d + first) | 0, e, f, g];
  }
  [a, b, c, d, e, f, g, h].forEach((word, place) => (state[place] += word));
}
