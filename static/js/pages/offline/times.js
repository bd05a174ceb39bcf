// Times in what the laptop drew, by the laptop's clock as this phone knows it: "4 min ago" would be wrong by now.

import { clockTime } from "../../lib/times.js";
import { laptopNow } from "../../store/snapshot.js";

/** @param {Element} root @param {any} snapshot */
export function showTimes(root, snapshot) {
  const now = laptopNow(snapshot);
  for (const time of root.querySelectorAll("time")) time.textContent = clockTime(time.dateTime, snapshot.event.zone, now);
}
