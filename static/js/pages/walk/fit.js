// How a check fits the screen: above the two buttons, and above an open keypad.

/** Room that a verdict of four lines takes, in CSS pixels. */
const VERDICT_ROOM = 152;
/** How little room there is: 0 all stands open; 1 closer together; 2 the picture is a tap away; 3 how to do it, too; 4 small, with
 * two numbers a row. Cautions stand whole. */
const WIDE = matchMedia("(min-width: 62rem)");
const ROOMS = ["0", "1", "2", "3", "4"];

/**
 * Where a verdict would not fit above the two buttons, what explains gives way first: now, so that nothing jumps when it comes.
 * @param {HTMLElement} form
 * @param {HTMLElement} verdict
 * @param {HTMLElement} actions
 */
export function fit(form, verdict, actions) {
  const look = () => {
    if (!form.isConnected) return removeEventListener("resize", look);
    if ("typing" in document.body.dataset) return;
    for (const room of WIDE.matches ? ROOMS.slice(0, 1) : ROOMS) {
      form.dataset.room = room;
      const { top, height } = verdict.getBoundingClientRect();
      if (top + scrollY + Math.max(height, VERDICT_ROOM) <= actions.getBoundingClientRect().top) return;
    }
  };
  addEventListener("resize", look);
  look();
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
