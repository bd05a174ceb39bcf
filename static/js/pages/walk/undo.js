// The place at the bottom left of the Walk: "Undo" for ten seconds after something was kept, then the way back to the check before.

import { el } from "../../lib/dom.js";

/** How long it can be undone, in ms. */
export const UNDO = 10_000;

export class Undo {
  /** @type {{takeBack: () => any, label: string, again: () => void, ends: number} | null} */
  last = null;

  /**
   * Something was kept.
   * @param {() => any} takeBack makes the entry that takes it back
   * @param {string} label what it was, for those who hear the button
   * @param {() => void} again shows the screen on which it was kept, as it was filled in
   */
  kept(takeBack, label, again) {
    this.last = { takeBack, label, again, ends: Date.now() + UNDO };
  }

  /**
   * The button for a screen; nothing where there is neither something to undo nor a way back.
   * @param {(kept: {takeBack: () => any, again: () => void}) => void} undo
   * @param {{label: string, go: () => void} | null} back
   * @returns {HTMLElement | null}
   */
  button(undo, back) {
    const [last, left] = [this.last, (this.last?.ends ?? 0) - Date.now()];
    if (!last || left <= 0) return back && el("button", { type: "button", class: "button undo", "aria-label": `Back: ${back.label}`, onclick: back.go }, "Back");
    const button = el("button", { type: "button", class: "button undo undo-runs", "aria-label": `Undo: ${last.label}`, onclick: () => {
      if (this.last !== last) return;
      this.last = null;
      undo(last);
    } }, "Undo");
    button.style.setProperty("--undo-left", `${left}ms`);
    setTimeout(() => {
      if (this.last === last) this.last = null;
      if (button.isConnected) button.replaceWith(...[this.button(undo, back)].filter(Boolean));
    }, left);
    return button;
  }
}
