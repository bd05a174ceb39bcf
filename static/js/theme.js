// Runs before the page is drawn, so that a chosen theme does not flash. Not a module: modules run later.
try {
  const theme = localStorage.getItem("pitcrew.theme");
  if (theme) document.documentElement.dataset.theme = theme;
} catch {
  // Storage may be switched off; then the device's own setting holds.
}
