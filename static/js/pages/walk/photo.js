// The photo of a fault: asked for once the fault itself is safe.

import { el } from "../../lib/dom.js";
import { NotKept } from "../../store/db.js";
import { keepPhoto } from "../../store/photos.js";

/**
 * @param {string} partLabel
 * @param {string} id the photo's, which the fault already names
 * @param {() => void} done called when the photo is safe
 */
export function photoScreen(partLabel, id, done) {
  const says = el("p", { role: "status" });
  const take = async (event) => {
    const [file] = event.target.files;
    if (!file) return;
    says.textContent = "Keeping it …";
    try {
      await keepPhoto(file, id);
      done();
    } catch (problem) {
      if (!(problem instanceof NotKept)) throw problem;
      says.textContent = problem.sentence;
    }
  };
  return el("section", { class: "walk stack" },
    el("div", {}, el("p", { class: "walk-part" }, partLabel), el("h1", { tabindex: "-1" }, "The fault is kept. Now its photo")),
    el("div", { class: "field" }, el("label", { for: "photo" }, "Photo of the part"),
      el("input", { id: "photo", type: "file", accept: "image/jpeg,image/*", capture: "environment", onchange: take })),
    says,
    el("p", { class: "soft" }, "It is made smaller, kept on this phone, and handed over after everything else."));
}
