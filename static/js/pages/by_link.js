// Hand over by any link: at once, saying how far it is; and the laptop's address, typed, or read from its code where the browser can.

import { el } from "../lib/dom.js";
import { keepTypedAddress, typedAddress } from "../store/device.js";
import { waiting } from "../store/outbox.js";
import { onProgress, progress, tryNow } from "../sync/keep_trying.js";
import { canScan, scan } from "./scan.js";

const HOST = /^([a-z0-9.-]+|\[[0-9a-f:]+\])$/;
const NO_ADDRESS = "This is no address. Type it as the laptop shows it, such as 192.168.1.20.";

/** @returns {HTMLElement} */
export function byLink() {
  const says = el("p", { role: "status" });
  const address = /** @type {HTMLInputElement} */ (el("input", { id: "address", type: "text", inputmode: "url", autocomplete: "off", spellcheck: "false", value: typedAddress() }));
  let first = 0;
  const attempt = async () => {
    const base = baseOf(address.value.trim());
    if (base === null) {
      says.textContent = NO_ADDRESS;
      return;
    }
    keepTypedAddress(base);
    says.textContent = "Trying …";
    first = waiting().length;
    const { done, sentence } = await tryNow();
    says.textContent = done ? "Handed over." : sentence;
  };
  onProgress(() => {
    const { running, left } = progress();
    if (running && left && left < first) says.textContent = `Handing over, ${left} left.`;
  });
  return el("section", { class: "card stack-tight" }, el("h2", {}, "Over a cable or Wi-Fi"),
    el("p", { class: "soft small" }, "By USB tether, cable, shop or venue Wi-Fi. With a tether, switch this phone's Wi-Fi hotspot off."),
    el("button", { type: "button", class: "button button-main", onclick: attempt }, "Try now"), says,
    location.protocol === "https:" && otherAddress(address, says, attempt));
}

/** A page on plain http may ask its own address alone, so only the app on https offers another. */
function otherAddress(address, says, attempt) {
  const stage = el("div", { class: "stack-tight" });
  const read = async () => {
    says.textContent = "";
    const found = await scan(stage, (text) => baseOf(text) || null);
    if (found.sentence) says.textContent = found.sentence;
    if (!found.value) return;
    address.value = found.value;
    await attempt();
  };
  const button = /** @type {HTMLElement} */ (el("button", { type: "button", class: "button", onclick: read }, "Scan the laptop's code"));
  button.hidden = true;
  canScan().then((can) => (button.hidden = !can));
  return el("details", {}, el("summary", {}, "It does not find the laptop"), el("div", { class: "stack-tight" },
    el("div", { class: "field" }, el("label", { for: "address" }, "The laptop's address"),
      el("p", { class: "field-note" }, "As the laptop shows it: People, Help for phones. Then press Try now."), address), button, stage));
}

/**
 * What was typed or scanned, as a base to send to: the laptop answers the app on https, at the port that the app itself came from.
 * @param {string} typed
 * @returns {string | null} empty for nothing typed, null for what is no address
 */
function baseOf(typed) {
  if (!typed) return "";
  try {
    const { hostname } = new URL(/^https?:\/\//.test(typed) ? typed : `https://${typed}`);
    return HOST.test(hostname) ? new URL(`https://${hostname}:${location.port}`).origin : null;
  } catch {
    return null;
  }
}
