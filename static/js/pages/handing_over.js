// Hand over: by any link, as a file, or as moving codes; then the laptop's receipt. And how well this phone keeps things.

import { el } from "../lib/dom.js";
import { plainReceipt } from "../lib/receipt.js";
import { clockError, clockTime } from "../lib/times.js";
import { onChange } from "../store/outbox.js";
import { laptopNow } from "../store/snapshot.js";
import { makeBundle, takeReceipt } from "../sync/bundle.js";
import { isPlainIosTab } from "../sync/install.js";
import { onProgress } from "../sync/keep_trying.js";
import { unsentSentence } from "../sync/status.js";
import { isPersisted, worksAlone } from "../sync/worker.js";
import { byLink } from "./by_link.js";
import { showCodes, SIZES } from "./codes.js";

const ON_LAPTOP = "On the laptop, go to People, Hand in from a phone";

/**
 * @param {HTMLElement} place
 * @param {HTMLElement} actions
 * @param {any | null} snapshot
 */
export function takeOver(place, actions, snapshot) {
  const count = el("p", { role: "status" });
  const tell = () => {
    count.textContent = unsentSentence() || "Everything made on this phone is handed over.";
  };
  onChange(tell);
  onProgress(tell);
  tell();
  place.replaceChildren(el("h1", {}, "Hand over"), count, byLink(), withoutLink(actions), receipt(), thisPhone(snapshot));
  return true;
}

function withoutLink(actions) {
  const says = el("p", { role: "status" });
  const whole = el("input", { type: "checkbox", id: "everything" });
  const stage = el("div", { class: "stack-tight" });
  const bundle = () => makeBundle(/** @type {HTMLInputElement} */ (whole).checked);
  const asFile = async () => {
    says.textContent = await handOutFile(await bundle());
  };
  const asCodes = async () => {
    says.textContent = "";
    await codes(stage, (await bundle()).text, actions);
  };
  return el("section", { class: "card stack-tight" }, el("h2", {}, "Without any link"),
    el("div", { class: "button-row" }, el("button", { type: "button", class: "button", onclick: asFile }, "As a file"), el("button", { type: "button", class: "button", onclick: asCodes }, "As codes")),
    el("label", { class: "tick" }, whole, el("span", {}, "Everything that this phone holds, for a laptop that starts anew")),
    el("p", { class: "soft small" }, "Photos go over a cable or Wi-Fi alone; they stay here until then."), says, stage);
}

/** Through the share sheet where the phone can share files, else as a download. @param {import("../sync/bundle.js").Bundle} bundle */
async function handOutFile({ text, name }) {
  const file = new File([text], name, { type: "application/json" });
  if (navigator.canShare?.({ files: [file] })) {
    try {
      await navigator.share({ files: [file] });
      return `${ON_LAPTOP}, and choose the file. Then type its receipt below.`;
    } catch (error) {
      if (error.name === "AbortError") return "Not shared.";
    }
  }
  const address = URL.createObjectURL(file);
  el("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
  return `Saved as ${name}. ${ON_LAPTOP}, and choose it. Then type its receipt below.`;
}

/** The codes and their progress, until stopped; coarser if the camera cannot read them. */
async function codes(stage, text, actions, place = 0) {
  const canvas = /** @type {HTMLCanvasElement} */ (el("canvas", { class: "codes", role: "img", "aria-label": "Moving codes for the laptop's camera" }));
  const bar = /** @type {HTMLProgressElement} */ (el("progress", { class: "codes-progress", "aria-label": "Codes shown of one round" }));
  const line = el("p", { class: "soft small" });
  const stop = await showCodes(canvas, text, SIZES[place], (shown, k) => {
    bar.max = k;
    bar.value = Math.min(shown, k);
    line.textContent = shown <= k ? `Code ${shown} of ${k}.` : `All ${k} were shown; ${shown - k} more to fill what was missed. Go on until the laptop shows its receipt.`;
  });
  const end = () => {
    stop();
    stage.replaceChildren();
    actions.replaceChildren();
  };
  const coarser = () => {
    end();
    codes(stage, text, actions, place + 1);
  };
  stage.replaceChildren(el("p", {}, `${ON_LAPTOP}, then to its camera. Hold this screen before it, bright and close.`), canvas, bar, line);
  actions.replaceChildren(...[place + 1 < SIZES.length && el("button", { type: "button", class: "button", onclick: coarser }, "Make them coarser"),
    el("button", { type: "button", class: "button button-main", onclick: end }, "Stop")].filter(Boolean));
  canvas.scrollIntoView({ block: "center" });
}

function receipt() {
  const says = el("p", { role: "status" });
  const box = /** @type {HTMLInputElement} */ (el("input", { id: "receipt", class: "receipt-code", type: "text", autocomplete: "off", autocapitalize: "characters", spellcheck: "false", maxlength: 9 }));
  const take = async (event) => {
    event.preventDefault();
    const right = await takeReceipt(plainReceipt(box.value));
    says.textContent = right ? "The laptop has it: handed over." : "This is not the receipt of the last file or codes made here. Look again, or hand over once more; twice is harmless.";
  };
  return el("form", { class: "card stack-tight", onsubmit: take }, el("h2", {}, "The laptop's receipt"),
    el("div", { class: "field" }, el("label", { for: "receipt" }, "Six letters from the laptop's screen"), el("div", { class: "beside" }, box, el("button", { class: "button" }, "Check it"))), says);
}

function thisPhone(snapshot) {
  const list = el("dl", { class: "facts" });
  const fact = (name, text) => [el("dt", {}, name), el("dd", {}, text)];
  const draw = async () => {
    const [alone, lasting] = await Promise.all([worksAlone(), isPersisted()]);
    const since = snapshot && clockTime(snapshot.now, snapshot.event.zone, laptopNow(snapshot));
    const wrong = snapshot && clockError(snapshot.ahead || 0);
    list.replaceChildren(
      ...fact("works alone", alone && snapshot ? `yes, with what the laptop said at ${since}` : window.isSecureContext ? "not yet: open Now once where the laptop answers" : "no: this address is plain http. See the laptop's help page"),
      ...fact("keeps things", isPlainIosTab() ? "not for sure: add pitcrew to the home screen" : lasting ? "until you delete them" : "while the phone has room; hand over before the day ends"),
      ...(wrong ? fact("its clock", `${wrong} the laptop's; the laptop corrects its times`) : []));
  };
  draw();
  return el("section", { class: "card stack-tight" }, el("h2", {}, "This phone"), list);
}

