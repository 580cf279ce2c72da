// Which window this is, and where its connection goes; what is told when that ends; and keys go to
// the terminal without a click first, and again when the window comes back. On a glass that fingers
// touch, the letters are as large as they can be, the keyboard stays away until it is asked for, and
// the screen stays awake while the page is in sight.
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

const touched = matchMedia("(pointer: coarse)").matches;
// Cells of a window that the row still has all its lines in, and a cell's share of a letter's size.
const COLUMNS = 46, ROWS = 18, WIDE = 0.601, HIGH = 1.32;
let typing = false, awake = null;

function letterSize() {
  if (!touched) return 18;
  const wide = innerWidth / (COLUMNS * WIDE), high = innerHeight / (ROWS * HIGH);
  return Math.max(12, Math.floor(Math.min(wide, high)));
}

// Ctrl+V is the browser's: the terminal would take it for a key, and nothing would be pasted.
function letPaste(event) {
  const asks = (event.ctrlKey || event.metaKey) && !event.altKey && event.key.toLowerCase() === "v";
  if (asks) event.stopPropagation();
}

function focusTerminal() {
  const typed = document.querySelector(".xterm-helper-textarea");
  if (!typed || document.querySelector("dialog[open]")) return;
  // Without this a tap would bring a keyboard up over half of the glass.
  if (touched) typed.inputMode = typing ? "text" : "none";
  typed.focus();
}

// A glass has no Ctrl+V: what is pasted into a field of the page goes on as if it had.
function putIn(text) {
  const carried = new DataTransfer();
  carried.setData("text/plain", text);
  const pasted = new ClipboardEvent("paste", { clipboardData: carried, bubbles: true });
  document.querySelector(".xterm-helper-textarea").dispatchEvent(pasted);
}

async function stayAwake() {
  if (awake || !navigator.wakeLock || document.visibilityState !== "visible") return;
  try {
    awake = await navigator.wakeLock.request("screen");
    awake.addEventListener("release", () => { awake = null; });
  } catch { /* the battery is low, or the page is not trusted with it */ }
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
  terminal.dataset.fontSize = /^\d{1,3}$/.test(size) ? size : letterSize();
  // Nothing of it stays: a reload takes over from nobody, and the terminal reads it too.
  history.replaceState(null, "", size ? `/?fontsize=${terminal.dataset.fontSize}` : "/");
  new MutationObserver(() => {
    if (document.body.matches(".-closed:not(.-asked)")) {
      document.body.classList.add("-asked");
      tellWhy(name);
    }
    focusTerminal();
  }).observe(document.body, { attributeFilter: ["class"] });
  const keyboard = document.getElementById("keyboard");
  document.getElementById("touch").hidden = !touched;
  keyboard.addEventListener("click", () => {
    typing = !typing;
    keyboard.setAttribute("aria-pressed", String(typing));
    document.activeElement.blur(); // else the browser does not look at it again
    focusTerminal();
  });
  const pasting = document.getElementById("pasting"), pasted = document.getElementById("pasted");
  document.getElementById("paste").addEventListener("click", () => pasting.showModal());
  pasting.addEventListener("close", () => {
    if (pasting.returnValue && pasted.value) putIn(pasted.value);
    pasted.value = pasting.returnValue = "";
    focusTerminal();
  });
  window.addEventListener("keydown", letPaste, true);
  for (const event of ["focus", "pointerup"]) window.addEventListener(event, focusTerminal);
  for (const event of ["pointerup", "visibilitychange"]) document.addEventListener(event, stayAwake);
  stayAwake();
});
