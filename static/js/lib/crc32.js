// CRC-32 as in ISO 3309 and PNG (polynomial EDB88320, reflected): guards every frame of a series of codes.

const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let value = byte;
  for (let bit = 0; bit < 8; bit += 1) value = value & 1 ? (value >>> 1) ^ 0xedb88320 : value >>> 1;
  return value >>> 0;
});

/**
 * @param {Uint8Array} bytes
 * @returns {number} unsigned 32 bits
 */
export function crc32(bytes) {
  let value = 0xffffffff;
  for (const byte of bytes) value = TABLE[(value ^ byte) & 0xff] ^ (value >>> 8);
  return ~value >>> 0;
}
