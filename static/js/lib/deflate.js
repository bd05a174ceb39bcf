// Raw DEFLATE (RFC 1951) of a text: by the browser's compressor, or in stored blocks where it has none.

const LONGEST_BLOCK = 65_535;

/**
 * @param {string} text
 * @returns {Promise<Uint8Array>}
 */
export async function deflate(text) {
  const bytes = new TextEncoder().encode(text);
  try {
    const packed = new Blob([bytes]).stream().pipeThrough(new CompressionStream("deflate-raw"));
    return new Uint8Array(await new Response(packed).arrayBuffer());
  } catch {
    return stored(bytes);
  }
}

/**
 * Not made smaller, but in a form that every reader unpacks.
 * @param {Uint8Array} bytes
 */
export function stored(bytes) {
  const count = Math.max(1, Math.ceil(bytes.length / LONGEST_BLOCK));
  const packed = new Uint8Array(bytes.length + 5 * count);
  for (let number = 0, at = 0; number < count; number += 1) {
    const block = bytes.subarray(number * LONGEST_BLOCK, (number + 1) * LONGEST_BLOCK);
    const head = [number === count - 1 ? 1 : 0, block.length & 255, block.length >> 8, ~block.length & 255, (~block.length >> 8) & 255];
    packed.set(head, at);
    packed.set(block, at + 5);
    at += 5 + block.length;
  }
  return packed;
}
