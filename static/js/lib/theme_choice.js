// The theme switch: as the device, light, dark, sunlight. theme.js applies the kept choice before the page is drawn.

const KEY = "pitcrew.theme";

/** @param {HTMLElement | null} choice the label around the select */
export function startTheme(choice) {
  const select = choice?.querySelector("select");
  if (!choice || !select) return;
  select.value = document.documentElement.dataset.theme ?? "";
  choice.hidden = false;
  select.addEventListener("change", () => apply(select.value));
}

/** @param {string} theme empty for the device's own wish */
function apply(theme) {
  if (theme) document.documentElement.dataset.theme = theme;
  else delete document.documentElement.dataset.theme;
  try {
    if (theme) localStorage.setItem(KEY, theme);
    else localStorage.removeItem(KEY);
  } catch {
    // Storage is switched off: the choice holds for this page.
  }
}
