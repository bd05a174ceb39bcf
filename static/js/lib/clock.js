// The strip's clock: minutes until the crew must leave for the queue. It runs on the laptop's time, not the phone's:
// the page carries the laptop's time of drawing, and the difference to the phone's clock is taken off.

const MINUTE = 60_000;
const SOON = 5 * MINUTE;
const FAR = 12 * 60 * MINUTE;

/**
 * What the strip says at `now`.
 * @param {number} leaveAt ms
 * @param {number} now ms
 * @returns {{text: string, words: string, state: "far" | "running" | "soon" | "late"}}
 */
export function clockFace(leaveAt, now) {
  const left = leaveAt - now;
  if (left <= 0) return { text: lateness(-left), words: "go now to", state: "late" };
  if (left > FAR) return { text: `${Math.round(left / (60 * MINUTE))} h`, words: "to leave for", state: "far" };
  return { text: countdown(left), words: "to leave for", state: left <= SOON ? "soon" : "running" };
}

/**
 * `12 min 40 s` under an hour, `1 h 5 min` from there on: with units, since `12:40` could be a time of day.
 * @param {number} milliseconds
 */
export function countdown(milliseconds) {
  const seconds = Math.floor(milliseconds / 1000);
  const hours = Math.floor(seconds / 3600);
  const minutes = Math.floor(seconds / 60) % 60;
  if (hours) return `${hours} h ${minutes} min`;
  return minutes ? `${minutes} min ${pad(seconds % 60)} s` : `${seconds} s`;
}

/** @param {number} milliseconds */
function lateness(milliseconds) {
  const minutes = Math.floor(milliseconds / MINUTE);
  return minutes ? `${minutes} min late` : "leave now";
}

/**
 * How much of the time between the robot's return and its leaving has passed, 0 to 1.
 * @param {number} backAt ms
 * @param {number} leaveAt ms
 * @param {number} now ms
 */
export function shareGone(backAt, leaveAt, now) {
  if (!(leaveAt > backAt)) return 0;
  return Math.min(1, Math.max(0, (now - backAt) / (leaveAt - backAt)));
}

/** @param {HTMLElement | null} strip */
export function startClock(strip) {
  const leaveAt = Date.parse(strip?.dataset.leaveAt ?? "");
  if (!strip || !Number.isFinite(leaveAt)) return;
  const drawnAt = Date.parse(strip.dataset.now ?? "");
  const ahead = Number.isFinite(drawnAt) ? Date.now() - drawnAt : 0;
  const backAt = Date.parse(strip.dataset.backAt ?? "");
  const tick = () => draw(strip, leaveAt, backAt, Date.now() - ahead);
  tick();
  setInterval(tick, 1000);
}

function draw(strip, leaveAt, backAt, now) {
  const face = clockFace(leaveAt, now);
  strip.dataset.clockState = face.state;
  strip.querySelector("[data-clock-left]").textContent = face.text;
  strip.querySelector("[data-clock-words]").textContent = face.words;
  const share = 200 * shareGone(backAt, leaveAt, now);
  strip.querySelector("[data-clock-run]")?.setAttribute("width", String(share));
  strip.querySelector("[data-clock-now]")?.setAttribute("x", String(Math.min(198, share)));
}

const pad = (number) => String(number).padStart(2, "0");
