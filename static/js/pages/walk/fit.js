// How a check fits the screen: above the two buttons, and above an open keypad.

/** Room that a verdict of four lines takes, in CSS pixels. */
const VERDICT_ROOM = 152;

/** Where a verdict would not fit above the two buttons, the drawing is made smaller: now, so that nothing jumps when it comes. */
export function fit(form, verdict, actions) {
  const bottom = verdict.getBoundingClientRect().top + VERDICT_ROOM;
  form.classList.toggle("walk-tight", bottom > actions.getBoundingClientRect().top);
}

/** What is left of the screen's height where a keypad is open, at most. */
const WITH_KEYPAD = 0.75;

/** While a keypad is really open for a number, the number comes to the top, its gauge and verdict below it. */
export function watchKeypad(card) {
  const view = visualViewport;
  let [width, full] = [view?.width, Math.max(view?.height ?? 0, screen.height * WITH_KEYPAD)];
  const look = () => {
    if (!card.isConnected) return view?.removeEventListener("resize", look);
    if (view.width !== width) [width, full] = [view.width, 0];
    full = Math.max(full, view.height);
    const open = Boolean(card.querySelector("input[inputmode=decimal]:focus")) && view.height < full * WITH_KEYPAD;
    document.body.toggleAttribute("data-typing", open);
    if (open) requestAnimationFrame(() => card.scrollIntoView({ block: "start" }));
  };
  view?.addEventListener("resize", look);
  for (const name of ["focusin", "focusout"]) card.addEventListener(name, () => setTimeout(() => view && look(), 50));
}
