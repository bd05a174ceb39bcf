// Temporary states without the laptop: recorded, closed, and either of these undone by the phone that did it.

import { copyOf, el, filled, one, piecesFrom, wordsOf } from "../../lib/dom.js";
import { correctionEntry, entryOf } from "../walk/entries.js";
import { notYet } from "./not_yet.js";
import { corrected, mistakeButton, ownEntry } from "./own.js";
import { labelOf } from "./worse.js";

/** @param {any} given @returns {{main: (Node | string)[], actions: Node[]}} */
export function alone({ snapshot, entries, save }) {
  const again = () => location.reload();
  const ends = new Map(entries.filter(({ kind }) => kind === "temporary_undone").map((entry) => [entry.body.temporary, entry]));
  const known = [...entries.filter(({ kind }) => kind === "temporary").map(({ id, body }) => ({ id, person: snapshot.person?.name, ...body })).reverse(), ...corrected(snapshot.temporaries, entries)];
  const press = (words, entry) => el("button", { type: "button", class: "button", onclick: () => save(entry(), again) }, words);
  const close = ({ id }) => press("Undone", () => entryOf(snapshot, "temporary_undone", { temporary: id }));
  const open = known.filter(({ id }) => !ends.has(id)).map((item) => row(snapshot, item, [close(item), ownEntry(item.id) && mistakeButton(ownEntry(item.id), save, again)]));
  const undone = known.filter(({ id }) => ends.has(id)).map((item) => {
    const end = ends.get(item.id);
    return row(snapshot, item, [press(wordsOf("temporary-back"), () => correctionEntry(end, null, wordsOf("temporary-back")))]);
  });
  const list = (rows) => el("ul", { class: "rows card card-bare" }, ...rows);
  return {
    main: [copyOf("temporary-head"), list(open.length ? open : [copyOf("temporary-none")]), newOne(snapshot, save, again),
      ...(undone.length ? [el("h2", {}, "Undone"), list(undone)] : [])],
    actions: [copyOf("back-to-now")],
  };
}

function row(snapshot, { what, part, person }, buttons) {
  const more = [labelOf(snapshot, part), person].filter(Boolean).join(", ");
  const drawn = filled(copyOf("temporary-row"), { what, more });
  one("[data-buttons]", drawn).append(...buttons.filter(Boolean));
  return drawn;
}

function newOne(snapshot, save, then) {
  const asked = piecesFrom(snapshot.fixed?.temporary);
  if (!asked.length) return notYet();
  const error = el("p", { class: "error", role: "alert", hidden: true });
  const form = el("form", { class: "stack", novalidate: true, onsubmit: (event) => {
    event.preventDefault();
    const given = new FormData(event.target);
    const [part, done, which] = ["part", "done", "what"].map((name) => String(given.get(name) ?? "").trim());
    error.textContent = !part ? "Pick the part." : !done ? "Pick what was done." : "";
    error.hidden = !error.textContent;
    if (error.textContent) return;
    save(entryOf(snapshot, "temporary", { part, what: which ? `${done}: ${which}` : done, blocks: given.has("blocks") }), then);
  } }, ...asked);
  one("button", form).before(error);
  const box = el("details", { class: "card" }, copyOf("temporary-new"), form);
  const wish = new URLSearchParams(location.search).get("part");
  box.open = Boolean(wish);
  one("#part", form).value = wish ?? "";
  return box;
}
