// Which window this is, and where its connection goes; what is told when that ends; and keys go to
// the terminal without a click first, and again when the window comes back.
"use strict";

// A reload is the same window and takes its own place; another window has to take over.
function windowName() {
  let name = sessionStorage.getItem("window");
  if (!name) {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    name = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    sessionStorage.setItem("window", name);
  }
  return name;
}

function focusTerminal() {
  const typed = document.querySelector(".xterm-helper-textarea");
  if (typed) typed.focus();
}

async function tellWhy(name) {
  let taken = false;
  try {
    taken = (await (await fetch(`/seat/${name}`)).json()).taken;
  } catch { /* the server is gone: then it is closed */ }
  document.body.classList.add(taken ? "-taken" : "-over");
}

window.addEventListener("DOMContentLoaded", () => {
  const name = windowName(), asked = new URLSearchParams(location.search);
  const terminal = document.getElementById("terminal"), size = asked.get("fontsize") || "";
  const take = asked.has("take") ? "/take" : "";
  terminal.dataset.sessionWebsocketUrl = `ws://${location.host}/ws/${name}${take}`;
  terminal.dataset.fontSize = /^\d{1,3}$/.test(size) ? size : "18";
  // Nothing of it stays: a reload takes over from nobody, and the terminal reads it too.
  history.replaceState(null, "", size ? `/?fontsize=${terminal.dataset.fontSize}` : "/");
  new MutationObserver(() => {
    if (document.body.matches(".-closed:not(.-asked)")) {
      document.body.classList.add("-asked");
      tellWhy(name);
    }
    focusTerminal();
  }).observe(document.body, { attributeFilter: ["class"] });
  for (const event of ["focus", "pointerup"]) window.addEventListener(event, focusTerminal);
});
