// The limit drawn to scale with the reading as a heavy mark; templates/macros/gauge.html draws the same on the server.

import { svg } from "./dom.js";
import { decimalText } from "./format.js";

const LEFT = 6;
const WIDTH = 308;
const TOP = 14;
const HEIGHT = 16;
const APART = 74;
const WIDE = 150; // room for both ends of the window inside it

/** @typedef {{stop_low: number|null, watch_low: number|null, watch_high: number|null, stop_high: number|null, guards?: Record<string, number>, good?: string[],
 *   shown_name: string, scale: number, offset: number, decimals: number}} Limit numbers in SI; SI = shown * scale + offset */

/**
 * Where everything of a gauge lies, in the drawing's units; null for a limit without numbers.
 * @param {Limit | null} limit
 * @param {number | null} result SI
 */
export function gaugeGeometry(limit, result) {
  const edges = limit ? ["stop_low", "watch_low", "watch_high", "stop_high"].map((name) => limit[name]).filter(known) : [];
  if (!limit || !edges.length) return null;
  const [from, to] = ends(limit, edges, result);
  const place = (value) => LEFT + ((value - from) * WIDTH) / (to - from);
  const guards = limit.guards ?? {};
  const okFrom = Math.max(inside(limit.stop_low, guards.stop_low, from), inside(limit.watch_low, guards.watch_low, from));
  const okTo = Math.min(inside(limit.stop_high, -(guards.stop_high ?? 0), to), inside(limit.watch_high, -(guards.watch_high ?? 0), to));
  const stopFrom = limit.stop_low ?? from;
  const stopTo = limit.stop_high ?? to;
  const spans = [["stop", from, stopFrom], ["stop", stopTo, to]];
  if (okFrom < okTo) spans.push(["watch", stopFrom, okFrom], ["ok", okFrom, okTo], ["watch", okTo, stopTo]);
  else spans.push(["watch", stopFrom, stopTo]);
  return {
    bands: spans.map(([kind, start, end]) => ({ kind, x: place(start), width: place(end) - place(start) })).filter((band) => band.width > 0.05),
    edges: edges.map(place),
    numbers: numbers(limit, place, okFrom, okTo),
    ticks: windowEnds(limit, okFrom, okTo).map(place),
    mark: known(result) ? Math.min(LEFT + WIDTH, Math.max(LEFT, place(result))) : null,
    beyond: known(result) && result < from ? "left" : known(result) && result > to ? "right" : "",
  };
}

/**
 * @param {Limit | null} limit
 * @param {number | null} result SI
 * @returns {SVGElement | null}
 */
export function drawGauge(limit, result) {
  const geometry = gaugeGeometry(limit, result);
  if (!geometry) return null;
  const gauge = svg("svg", { class: "gauge", viewBox: "0 0 320 54", role: "img", "aria-label": words(limit, result), "font-size": 15 });
  for (const band of geometry.bands) gauge.append(...drawBand(band));
  gauge.append(svg("rect", { class: "gauge-frame", x: LEFT, y: TOP, width: WIDTH, height: HEIGHT, fill: "none" }));
  for (const x of geometry.edges) gauge.append(svg("path", { class: "gauge-limit", "stroke-width": 2, d: `M${x} ${TOP - 3}v22` }));
  for (const x of geometry.ticks) gauge.append(svg("path", { class: "gauge-limit", "stroke-width": 2, d: `M${x} ${TOP + 16}v6` }));
  for (const { text, x, anchor } of geometry.numbers) gauge.append(svg("text", { x, y: TOP + 34, "text-anchor": anchor }, text));
  if (geometry.mark !== null) gauge.append(...drawMark(geometry.mark, geometry.beyond));
  return gauge;
}

/** @param {number | null | undefined} value */
const known = (value) => typeof value === "number" && Number.isFinite(value);

const inside = (edge, guard, otherwise) => (known(edge) ? edge + (guard ?? 0) : otherwise);

/** From where to where the gauge goes; a side without a limit reaches as far as the reading. */
function ends(limit, edges, result) {
  const low = Math.min(...edges);
  const high = Math.max(...edges);
  const guard = Math.max(0, ...Object.values(limit.guards ?? {}));
  const lowSide = known(limit.stop_low) || known(limit.watch_low);
  const highSide = known(limit.stop_high) || known(limit.watch_high);
  let from;
  let to;
  if (lowSide && highSide) {
    const width = high - low || 10 * guard || 0.3 * Math.abs(low) || 1;
    [from, to] = [low - 0.5 * width, high + 0.5 * width];
  } else if (highSide && low > 0) {
    [from, to] = [0, 1.5 * high];
  } else if (highSide) {
    const width = Math.max(high - low, 10 * guard) || 0.5 * Math.abs(low) || 1;
    [from, to] = [low - width, high + width];
  } else {
    const width = Math.max(high - low, 10 * guard) || 0.3 * Math.abs(low) || 1;
    [from, to] = [low - 0.6 * width, high + 1.2 * width];
  }
  if (low >= 0) from = Math.max(0, from);
  if (known(result) && !highSide && result > to) to = result + 0.1 * (result - from);
  if (known(result) && !lowSide && result < from) from = result - 0.1 * (to - result);
  return [from, to];
}

/** The ends of the window in which a reading is really ok; none where nothing is. */
function windowEnds(limit, okFrom, okTo) {
  const lowSide = known(limit.stop_low) || known(limit.watch_low);
  const highSide = known(limit.stop_high) || known(limit.watch_high);
  if (lowSide && highSide && okFrom > okTo) return [];
  return [...(lowSide ? [okFrom] : []), ...(highSide ? [okTo] : [])];
}

/** The ends of what is really ok, each beside its own tick, and the stop bounds where there is room: never a number that a reading of it would not pass. */
function numbers(limit, place, okFrom, okTo) {
  const found = [];
  const add = (value, right, text = shownText(limit, value)) => {
    const x = place(value);
    const start = right ? x <= 262 : x < 60;
    found.push({ text, x: x + (start ? 2 : -2), anchor: start ? "start" : "end" });
  };
  const roomy = (a, b) => Math.abs(place(b) - place(a)) > APART;
  const lowSide = known(limit.stop_low) || known(limit.watch_low);
  const highSide = known(limit.stop_high) || known(limit.watch_high);
  const decided = !(lowSide && highSide && okFrom > okTo);
  const wide = !(lowSide && highSide) || Math.abs(place(okTo) - place(okFrom)) > WIDE;
  if (lowSide && decided) add(okFrom, wide, goodText(limit, 0, okFrom));
  if (highSide && decided) add(okTo, !wide, goodText(limit, 1, okTo));
  if (known(limit.stop_low) && (!decided || (wide ? place(limit.stop_low) >= 60 && place(okFrom) - place(limit.stop_low) > 1 : roomy(limit.stop_low, okFrom)))) add(limit.stop_low, false);
  if (known(limit.stop_high) && (!decided || (wide ? place(limit.stop_high) <= 262 && place(limit.stop_high) - place(okTo) > 1 : roomy(limit.stop_high, okTo)))) add(limit.stop_high, true);
  return found;
}

/** An end of the accept window as the server wrote it; a limit from before has it only as a number. */
function goodText(limit, end, value) {
  const written = limit.good?.[end];
  if (!written) return shownText(limit, value);
  return limit.shown_name ? `${written} ${limit.shown_name}` : written;
}

/**
 * An SI number as the limit's sentences write it.
 * @param {Limit} limit
 * @param {number} value
 */
function shownText(limit, value) {
  const number = decimalText((value - limit.offset) / limit.scale, limit.decimals);
  return limit.shown_name ? `${number} ${limit.shown_name}` : number;
}

function words(limit, result) {
  const guards = limit.guards ?? {};
  const least = Math.max(inside(limit.stop_low, guards.stop_low, -Infinity), inside(limit.watch_low, guards.watch_low, -Infinity));
  const most = Math.min(inside(limit.stop_high, -(guards.stop_high ?? 0), Infinity), inside(limit.watch_high, -(guards.watch_high ?? 0), Infinity));
  const parts = [];
  if (known(least)) parts.push(`at least ${goodText(limit, 0, least)}`);
  if (known(most)) parts.push(`at most ${goodText(limit, 1, most)}`);
  return parts.join(", ") + (known(result) ? `; reading ${shownText(limit, result)}` : "");
}

function drawBand({ kind, x, width }) {
  const rect = svg("rect", { class: `gauge-${kind}`, x, y: TOP, width, height: HEIGHT });
  if (kind === "ok") return [rect];
  const lines = rising(x, TOP, width, HEIGHT, 8) + (kind === "stop" ? falling(x, TOP, width, HEIGHT, 8) : "");
  return [rect, svg("path", { class: `gauge-hatch-${kind}`, "stroke-width": kind === "stop" ? 1.2 : 2.5, d: lines })];
}

function drawMark(x, beyond) {
  const line = `M${x} ${TOP - 8}v28`; // it ends above the numbers
  const mark = [
    svg("path", { class: "gauge-mark-halo", "stroke-width": 9, d: line }),
    svg("path", { class: "gauge-mark", "stroke-width": 5, d: line }),
  ];
  if (beyond === "left") mark.push(svg("path", { class: "gauge-mark", d: `M0 ${TOP + 8}l14-12v24Z` }));
  if (beyond === "right") mark.push(svg("path", { class: "gauge-mark", d: `M320 ${TOP + 8}l-14-12v24Z` }));
  return mark;
}

function rising(x, y, width, height, step) {
  let path = "";
  for (let c = (Math.floor((x + y) / step) + 1) * step; c < x + y + width + height; c += step) {
    const start = Math.max(x, c - y - height);
    const end = Math.min(x + width, c - y);
    path += `M${start} ${c - start}L${end} ${c - end}`;
  }
  return path;
}

function falling(x, y, width, height, step) {
  let path = "";
  for (let c = (Math.floor((x - y - height) / step) + 1) * step; c < x - y + width; c += step) {
    const start = Math.max(x, c + y);
    const end = Math.min(x + width, c + y + height);
    path += `M${start} ${start - c}L${end} ${end - c}`;
  }
  return path;
}
