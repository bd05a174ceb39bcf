// The service worker from the page's side: installs it, says when this phone can work alone, and offers a new version where no
// form is half filled.

import { el } from "../lib/dom.js";

const LOOK_AGAIN = 30 * 60_000;
const TRY_AGAIN = 10_000;

/**
 * Whether this phone opens the app without the laptop: a worker is in charge. Plain http and old browsers have none.
 * @returns {Promise<boolean>}
 */
export async function worksAlone() {
  if (!navigator.serviceWorker) return false;
  const registration = await navigator.serviceWorker.getRegistration();
  return Boolean(registration?.active);
}

/** @param {HTMLElement | null} line where a new version is offered */
export async function startWorker(line) {
  if (!navigator.serviceWorker) return;
  register();
  const registration = await navigator.serviceWorker.ready;
  if (!navigator.serviceWorker.controller) registration.active?.postMessage("claim");
  if (registration.waiting) offer(line, registration.waiting);
  registration.addEventListener("updatefound", () => {
    const fresh = registration.installing;
    fresh?.addEventListener("statechange", () => {
      if (fresh.state === "installed" && navigator.serviceWorker.controller) offer(line, fresh);
    });
  });
  setInterval(() => registration.update().catch(() => {}), LOOK_AGAIN);
}

/** Until there is a worker: one missing file fails the whole installation. It may stay pending while the laptop is away. */
function register() {
  navigator.serviceWorker.register("/sw.js").catch(() => {});
  setTimeout(async () => {
    if (!(await worksAlone())) register();
  }, TRY_AGAIN);
}

/** Ask the browser not to clear what is kept here. It may say no, or ask the person and never answer, so nothing waits for it. */
export function askToPersist() {
  navigator.storage?.persist?.().catch(() => {});
}

/** Whether the browser has promised that. @returns {Promise<boolean>} */
export async function isPersisted() {
  return (await navigator.storage?.persisted?.().catch(() => false)) ?? false;
}

/** Whether something is typed or picked on this page that is not kept yet. */
export function isHalfFilled(root = document) {
  return [...root.querySelectorAll("main input, main textarea, main select")].some((field) => {
    if (field.type === "hidden") return false;
    if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
    if (field.localName === "select") return [...field.options].some((option) => option.selected !== option.defaultSelected) && field.selectedIndex > 0;
    return field.value !== field.defaultValue;
  });
}

function offer(line, waiting) {
  if (!line) return;
  const words = el("span", {}, "A new version of pitcrew is on this phone. ");
  const use = () => {
    if (isHalfFilled()) {
      words.textContent = "First keep or leave what is half filled here. ";
      return;
    }
    navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
    waiting.postMessage("activate");
  };
  line.replaceChildren(words, el("button", { type: "button", class: "button button-small", onclick: use }, "Use it now"));
  line.hidden = false;
}
