// The laptop's camera looks at a phone's moving codes; each picture goes to the server, which reads it and says how far it is.

import { one } from "../lib/dom.js";
import { token } from "../store/device.js";

const WIDTH = 1280;
const HEIGHT = 720;
const PAUSE = 60;

/** Waits for the button: browsers ask for the camera only then. */
export function start() {
  one("[data-start]")?.addEventListener("click", () => run().catch((problem) => say(sentenceFor(problem))));
}

async function run() {
  const stream = await navigator.mediaDevices.getUserMedia({ video: { width: { ideal: WIDTH }, height: { ideal: HEIGHT } } });
  const video = /** @type {HTMLVideoElement} */ (one("[data-camera]"));
  video.srcObject = stream;
  await video.play();
  show("[data-start]", false);
  say("Looking for a code.");
  try {
    await readUntilDone(video);
  } finally {
    stream.getTracks().forEach((track) => track.stop());
    show("[data-start]", true);
  }
}

/** One picture at a time: the next is taken when the last has been read. */
async function readUntilDone(video) {
  const canvas = document.createElement("canvas");
  for (;;) {
    const { width, height, grey } = picture(video, canvas);
    const answer = await fetch(`/api/frames?width=${width}&height=${height}`, {
      method: "POST", body: grey, headers: { Authorization: `Bearer ${token()}`, "Content-Type": "application/octet-stream" },
    });
    const found = await answer.json();
    if (!answer.ok) throw new Error(found.error);
    showProgress(found);
    if (found.done) return showDone(found.done);
    await new Promise((resolve) => setTimeout(resolve, PAUSE));
  }
}

/** The current picture as gray values, row by row. */
function picture(video, canvas) {
  canvas.width = video.videoWidth;
  canvas.height = video.videoHeight;
  const context = canvas.getContext("2d", { willReadFrequently: true });
  context.drawImage(video, 0, 0);
  const { data, width, height } = context.getImageData(0, 0, canvas.width, canvas.height);
  const grey = new Uint8Array(width * height);
  for (let place = 0; place < grey.length; place += 1) {
    grey[place] = (data[4 * place] * 77 + data[4 * place + 1] * 151 + data[4 * place + 2] * 28) >> 8;
  }
  return { width, height, grey };
}

function showProgress({ known, wanted, wrong }) {
  const bar = /** @type {HTMLProgressElement} */ (one("#read"));
  bar.max = wanted || 1;
  bar.value = known;
  say(wrong || (wanted ? `${known} of ${wanted} read.` : "Looking for a code."));
}

function showDone({ sentence, receipt }) {
  say(sentence);
  one("[data-receipt]").textContent = receipt;
  show("[data-receipt]", Boolean(receipt));
  show("[data-receipt-note]", Boolean(receipt));
}

function sentenceFor(problem) {
  if (problem.name === "NotAllowedError") return "The browser may not use the camera. Allow it beside the address, then start again.";
  if (problem.name === "NotFoundError") return "This laptop has no camera that the browser can use. Take in the phone's file instead.";
  if (!navigator.mediaDevices) return "Browsers lend the camera on this laptop's own address only: open http://localhost with this port.";
  return problem.message;
}

const say = (text) => (one("[data-said]").textContent = text);
const show = (selector, shown) => (one(selector).hidden = !shown);
