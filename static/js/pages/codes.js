// A bundle as a moving series of codes on a canvas, until someone stops it.

import { deflate } from "../lib/deflate.js";
import { blockSize, seriesOf } from "../lib/frames.js";
import { capacity, encode } from "../lib/qr.js";

/** From dense to coarse: a camera that cannot tell the squares apart needs larger ones. */
export const SIZES = [15, 10, 6];
const LEVEL = "L";
const PAUSE = 125;
const QUIET = 4;

/**
 * @param {HTMLCanvasElement} canvas
 * @param {string} text
 * @param {number} version of the codes
 * @param {(shown: number, k: number) => void} progress
 * @returns {Promise<() => void>} stops it
 */
export async function showCodes(canvas, text, version, progress) {
  const series = seriesOf(await deflate(text), blockSize(capacity(version, LEVEL)));
  let number = 0;
  const draw = () => {
    drawCode(canvas, encode(series.frame(number), { version, level: LEVEL }));
    number += 1;
    progress(number, series.k);
  };
  draw();
  const timer = setInterval(draw, PAUSE);
  const lock = navigator.wakeLock?.request("screen").catch(() => null);
  return () => {
    clearInterval(timer);
    lock?.then((held) => held?.release());
  };
}

/** One canvas pixel a module, enlarged without smoothing by the style sheet. */
function drawCode(canvas, { size, dark }) {
  const side = size + 2 * QUIET;
  canvas.width = canvas.height = side;
  const picture = new ImageData(side, side);
  picture.data.fill(255);
  dark.forEach((is, place) => {
    const at = 4 * ((Math.floor(place / size) + QUIET) * side + (place % size) + QUIET);
    if (is) picture.data.fill(0, at, at + 3);
  });
  canvas.getContext("2d").putImageData(picture, 0, 0);
}
