// Entry ids: UUIDv7 (RFC 9562). crypto.randomUUID needs a secure context; getRandomValues also works on plain http.

/** The last id's ms, and the twelve bits after it: they count, so that ids of one ms keep their order. */
let [before, place12] = [-1, 0];

/**
 * @param {number} [now] ms
 * @returns {string}
 */
export function newId(now = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let place = 5, rest = now; place >= 0; place -= 1) {
    bytes[place] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  place12 = now === before ? (place12 + 1) & 0xfff : ((bytes[6] & 0x07) << 8) | bytes[7];
  before = now;
  bytes[6] = (place12 >> 8) | 0x70;
  bytes[7] = place12 & 0xff;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const digits = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [digits.slice(0, 8), digits.slice(8, 12), digits.slice(12, 16), digits.slice(16, 20), digits.slice(20)].join("-");
}
