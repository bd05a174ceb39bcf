// The screen stays on while a walk goes on. Browsers allow it over https only; elsewhere, and on a low battery, it is not requested a second time.

let [walking, lock] = [false, null];

/** @param {boolean} wanted whether a walk goes on */
export async function stayAwake(wanted) {
  walking = wanted;
  if (!walking) return lock?.release();
  if (document.visibilityState !== "visible" || (lock && !lock.released)) return;
  lock = (await navigator.wakeLock?.request("screen").catch(() => null)) ?? null;
}

document.addEventListener("visibilitychange", () => walking && stayAwake(true));
