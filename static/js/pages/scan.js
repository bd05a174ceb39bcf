// Reads one code with this phone's camera, where the browser itself can read codes; elsewhere the address is typed.

import { el } from "../lib/dom.js";

const KIND = "qr_code";
const PAUSE = 150;

/** @returns {Promise<boolean>} */
export async function canScan() {
  if (!("BarcodeDetector" in window) || !navigator.mediaDevices) return false;
  return (await window.BarcodeDetector.getSupportedFormats().catch(() => [])).includes(KIND);
}

/**
 * Shows the camera's picture until a code is read that `take` makes something of, or someone stops it.
 * @param {HTMLElement} stage
 * @param {(text: string) => string | null} take
 * @returns {Promise<{value: string, sentence: string}>} what was read, or why nothing was
 */
export async function scan(stage, take) {
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  } catch {
    return { value: "", sentence: "The camera cannot be used here. Allow it, or type the address." };
  }
  let stopped = false;
  const video = /** @type {HTMLVideoElement} */ (el("video", { class: "camera", muted: true, playsinline: true }));
  const line = el("p", { role: "status" }, "Looking for a code.");
  stage.replaceChildren(video, line, el("button", { type: "button", class: "button", onclick: () => (stopped = true) }, "Stop"));
  video.srcObject = stream;
  try {
    await video.play();
    const detector = new window.BarcodeDetector({ formats: [KIND] });
    while (!stopped && stage.isConnected) {
      for (const { rawValue } of await detector.detect(video)) {
        const value = take(rawValue);
        if (value) return { value, sentence: "" };
        line.textContent = "That code is no address of the laptop.";
      }
      await new Promise((resolve) => setTimeout(resolve, PAUSE));
    }
    return { value: "", sentence: "" };
  } catch {
    return { value: "", sentence: "The camera's picture cannot be read. Type the address." };
  } finally {
    stream.getTracks().forEach((track) => track.stop());
    stage.replaceChildren();
  }
}
