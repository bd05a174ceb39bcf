// Reed-Solomon correction over GF(256) with the polynomial 11D, as QR codes use it (ISO/IEC 18004, annex A).

const POWER = new Uint8Array(510);
const LOG = new Uint8Array(256);
for (let exponent = 0, value = 1; exponent < 255; exponent += 1) {
  POWER[exponent] = POWER[exponent + 255] = value;
  LOG[value] = exponent;
  value = (value << 1) ^ (value & 0x80 ? 0x11d : 0);
}

const times = (a, b) => (a && b ? POWER[LOG[a] + LOG[b]] : 0);
/** @type {Map<number, Uint8Array>} */
const generators = new Map();

/** The product of (x - 2^i), without its leading 1. */
function generator(degree) {
  let found = generators.get(degree);
  if (found) return found;
  found = new Uint8Array(degree);
  found[degree - 1] = 1;
  for (let root = 0; root < degree; root += 1) {
    for (let place = 0; place < degree; place += 1) found[place] = times(found[place], POWER[root]) ^ (found[place + 1] ?? 0);
  }
  generators.set(degree, found);
  return found;
}

/**
 * The `count` codewords that correct a block.
 * @param {Uint8Array} block
 * @param {number} count
 * @returns {Uint8Array}
 */
export function correction(block, count) {
  const by = generator(count);
  const rest = new Uint8Array(count);
  for (const codeword of block) {
    const factor = codeword ^ rest[0];
    rest.copyWithin(0, 1);
    rest[count - 1] = 0;
    for (let place = 0; place < count; place += 1) rest[place] ^= times(by[place], factor);
  }
  return rest;
}
