// Batteries: a file dropped anywhere on the page goes into its form, where match and battery are picked before it is read.

import { one } from "../lib/dom.js";

/** Starts the page. */
export function start() {
  const field = /** @type {HTMLInputElement | null} */ (one("input[type=file]"));
  if (!field) return;
  document.addEventListener("dragover", (event) => {
    if (carriesFiles(event)) event.preventDefault();
  });
  document.addEventListener("drop", (event) => {
    if (!carriesFiles(event)) return;
    event.preventDefault();
    field.files = event.dataTransfer.files;
    field.scrollIntoView({ block: "center" });
    field.focus();
  });
}

/** @param {DragEvent} event */
function carriesFiles(event) {
  return Boolean(event.dataTransfer?.types.includes("Files"));
}
