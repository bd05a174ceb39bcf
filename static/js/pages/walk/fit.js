// How a check fits the screen: above the two buttons, and above an open keypad.

/** Room that a verdict of four lines takes, in CSS pixels. */
const VERDICT_ROOM = 152;

/** Where a verdict would not fit above the two buttons, the drawing is made smaller: now, so that nothing jumps when it comes. */
export function fit(form, verdict, actions) {
  const bottom = verdict.getBoundingClientRect().top + VERDICT_ROOM;
  form.classList.toggle("walk-tight", bottom > actions.getBoundingClientRect().top);
}

/** While a keypad is open the number comes to the top, its gauge and verdict below it. */
export function watchKeypad(card) {
  const toTop = () => requestAnimationFrame(() => card.scrollIntoView({ block: "start" }));
  card.addEventListener("focusin", (event) => {
    if (event.target.matches("input[inputmode=decimal]") && matchMedia("(pointer: coarse)").matches) {
      document.body.dataset.typing = "";
      toTop();
    }
  });
  visualViewport?.addEventListener("resize", () => {
    if ("typing" in document.body.dataset && card.isConnected) toTop();
  });
  card.addEventListener("focusout", () => {
    setTimeout(() => {
      if (!card.contains(document.activeElement)) delete document.body.dataset.typing;
    }, 100);
  });
}
