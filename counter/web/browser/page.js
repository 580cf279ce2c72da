// Keys go to the terminal without a click first, and again when the window comes back.
"use strict";
function focusTerminal() {
  const typed = document.querySelector(".xterm-helper-textarea");
  if (typed) typed.focus();
}
window.addEventListener("DOMContentLoaded", () => {
  new MutationObserver(focusTerminal).observe(document.body, { attributeFilter: ["class"] });
  for (const name of ["focus", "pointerup"]) window.addEventListener(name, focusTerminal);
});
