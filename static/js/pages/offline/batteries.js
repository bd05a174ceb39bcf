// Batteries without the laptop: where each was, and where it goes now.

import { copyOf, el, one, piecesFrom } from "../../lib/dom.js";
import { entryOf } from "../walk/entries.js";

const PLACES = { robot: "In the robot", channel: "On the charger", rest: "At rest", bench: "On the bench", retired: "Retired" };
const BUTTONS = ["robot", "rest", "bench"];

/** @param {any} given @returns {{main: Node[], actions: Node[]}} */
export function alone({ snapshot, entries, save }) {
  const moved = new Map(entries.filter((entry) => entry.kind === "battery_move").map(({ body }) => [body.battery, body]));
  const cards = snapshot.batteries.map((battery) => card(snapshot, battery, moved.get(battery.name), save));
  return { main: [el("h1", {}, "Batteries"), ...(cards.length ? cards : [copyOf("no-batteries")])], actions: [] };
}

function card(snapshot, battery, own, save) {
  const move = (to, where) => save(entryOf(snapshot, "battery_move", { battery: battery.name, to, where }), () => location.reload());
  const channel = el("input", { id: `channel-${battery.name}`, maxlength: 20, autocomplete: "off" });
  const error = el("p", { class: "error", role: "alert", hidden: true }, "Type the channel of the charger.");
  const toChannel = () => {
    error.hidden = Boolean(channel.value.trim());
    if (error.hidden) move("channel", channel.value.trim());
  };
  return el("article", { class: "card" },
    ...stands(snapshot, battery, own),
    battery.health && el("p", { class: "soft small" }, `Health: ${battery.health}. ${battery.evidence}`),
    el("p", {}, placeOf(own ?? { to: battery.place, where: battery.where }), own && el("b", {}, " (by this phone)")),
    el("details", {}, el("summary", {}, "Move it"), el("div", { class: "stack-tight" },
      el("div", { class: "button-row" }, ...BUTTONS.map((to) => el("button", { type: "button", class: "button", onclick: () => move(to, to === "robot" ? snapshot.robot?.name ?? "" : "") }, PLACES[to]))),
      el("div", { class: "beside" }, el("div", { class: "field" }, el("label", { for: channel.id }, "Channel"), channel, error),
        el("button", { type: "button", class: "button", onclick: toChannel }, PLACES.channel)))));
}

/** How it stood by the laptop; after a move of this phone nothing is offered until the laptop has said so. */
function stands({ pieces }, battery, own) {
  const drawn = piecesFrom(pieces?.batteries?.[battery.name]);
  if (!drawn.length) return [el("h2", {}, battery.label)];
  if (own) one("[data-stands]", drawn[0]).replaceChildren(el("span", { class: "tag" }, "not offered"));
  return drawn;
}

function placeOf({ to, where }) {
  if (to === "channel") return `On channel ${where}`;
  return PLACES[to] ?? "Nobody logged where it is";
}
