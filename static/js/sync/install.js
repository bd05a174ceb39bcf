// What a phone must be told once about where it keeps things: an iPhone's plain tab, and that it can work alone now.

import { el } from "../lib/dom.js";
import { keepSaidAlone, saidAlone, token } from "../store/device.js";
import { clockTime } from "../lib/times.js";
import { laptopNow, lastSnapshot } from "../store/snapshot.js";
import { onProgress } from "./keep_trying.js";
import { askToPersist, worksAlone } from "./worker.js";

/** An iPhone or iPad showing this in a tab: its home-screen app keeps things elsewhere, and the tab may lose them after a week. */
export function isPlainIosTab(device = navigator) {
  const ios = /iPhone|iPad|iPod/.test(device.userAgent) || (device.platform === "MacIntel" && device.maxTouchPoints > 1);
  return ios && device.standalone === false;
}

/** The pit's own laptop: it is not carried to the robot. */
const isTheLaptop = () => ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname);

/** @param {HTMLElement | null} line */
export function startInstall(line) {
  if (!line || !window.isSecureContext) return;
  if (isPlainIosTab()) {
    say(line, "Enter nothing in this tab: an iPhone may lose it, and the app does not see it.", " Tap Share, then Add to Home Screen, and open pitcrew from there.");
    return;
  }
  if (!token() || saidAlone() || isTheLaptop()) return;
  const look = () => sayHowFar(line);
  onProgress(look);
  navigator.serviceWorker?.ready.then(look);
}

/** What is still on its way to this phone; once nothing is, that it can work alone: said once. */
async function sayHowFar(line) {
  const [app, snapshot] = await Promise.all([worksAlone(), lastSnapshot().catch(() => null)]);
  if (saidAlone()) return;
  if (!app || !snapshot) {
    say(line, "Keep this page open until this phone can work alone.", ` Still to come: ${app ? "checks, limits and faults" : "pitcrew itself"}.`);
    return;
  }
  keepSaidAlone();
  askToPersist();
  say(line, "This phone can now work alone.", ` It keeps the checks, limits and faults as of ${clockTime(snapshot.now, snapshot.event.zone, laptopNow(snapshot))}.`);
}

function say(line, first, rest) {
  line.replaceChildren(el("b", {}, first), rest);
  line.hidden = false;
}
