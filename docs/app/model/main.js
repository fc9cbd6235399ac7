// The moving model: its state, and what moves it. A slider, a key, a button or a link changes the state; `show` draws it.

import table, { controls, reference, words } from "./table.js";
import { read, stateIn } from "./link.js";
import { shown, turned } from "./pump.js";
import { sceneOf } from "./scene.js";
import { angleSaid, described, madeSaid, said } from "./words.js";

const QUIET_MS = 400; // How long everything rests before it is told.
const HUNDREDTHS_PER_MS = 1.8; // Playing: a revolution in twenty seconds.
const STEP = 500; // What play does in one step where nothing may move by itself.
const LONGEST_FRAME_MS = 100; // After a pause of the page the model goes on from where it was.
/** Hundredths of a degree by key. @type {Record<string, number>} */
const KEYS = { ArrowRight: 50, ArrowUp: 50, ArrowLeft: -50, ArrowDown: -50, PageUp: 500, PageDown: -500 };
const FINE = 50; // With the shift key an arrow turns this many times less.

/** @template {Element} T @param {string} selector @returns {T} */
const one = (selector) => /** @type {T} */ (document.querySelector(`#model ${selector}`));

const angle = /** @type {HTMLInputElement} */ (one("#model-angle"));
const play = /** @type {HTMLButtonElement} */ (one("#model-run"));
const says = one("#model-says");
const note = one("#model-note");
const move = sceneOf(/** @type {SVGSVGElement} */ (one("svg")));
const still = matchMedia("(prefers-reduced-motion: reduce)");

let { place, setting, notes } = read(stateIn(location));
let playing = 0; // The frame that is asked for, or 0.
let last = 0; // When the frame before was shown.
let rest = 0; // What is left of a hundredth of a degree.
let telling = 0;

/** @param {string} name @param {HTMLInputElement} slider @param {string} text */
function label(name, slider, text) {
  one(`[data-said="${name}"]`).textContent = text;
  slider.setAttribute("aria-valuetext", text);
}

/** @param {string} name @returns {HTMLInputElement} */
const sliderOf = (name) => one(`#model-${name}`);

/** The picture and the flywheel; the only part that runs in every frame. */
function show() {
  move(place, setting, shown(place, setting));
  angle.value = String(place.flywheel / table.per_deg);
  label("angle", angle, angleSaid(place.flywheel));
  if (!playing) tell();
}

/** The sliders, and what the setting makes. */
function showSetting() {
  for (const control of controls) {
    const slider = sliderOf(control.name);
    slider.value = String(setting[control.name]);
    label(control.name, slider, said(control, setting[control.name]));
  }
  const made = madeSaid(setting);
  for (const cell of document.querySelectorAll("#model [data-made]")) {
    cell.textContent = made[String(/** @type {HTMLElement} */ (cell).dataset.made)];
  }
}

/** All in words, once everything rests: screen readers read it out. */
function tell() {
  clearTimeout(telling);
  telling = setTimeout(() => {
    says.textContent = described(place, setting, shown(place, setting));
  }, QUIET_MS);
}

/** @param {number} by hundredths of a degree */
function turn(by) {
  place = turned(place, by, setting);
  show();
}

function apply(/** @type {string} */ state) {
  pause();
  ({ place, setting, notes } = read(state));
  note.textContent = notes.join(" ");
  showSetting();
  show();
}

// ---------------------------------------------------------------- play

/** @param {number} now */
function frame(now) {
  const by = rest + Math.min(now - last, LONGEST_FRAME_MS) * HUNDREDTHS_PER_MS;
  last = now;
  rest = by - Math.floor(by);
  playing = requestAnimationFrame(frame);
  turn(Math.floor(by));
}

function start() {
  clearTimeout(telling);
  says.textContent = words.playing;
  last = performance.now();
  playing = requestAnimationFrame(frame);
  labelPlay();
}

function pause() {
  if (!playing) return;
  cancelAnimationFrame(playing);
  playing = 0;
  labelPlay();
  tell();
}

function labelPlay() {
  play.textContent = still.matches ? words.step : playing ? words.pause : words.play;
}

play.addEventListener("click", () => {
  if (still.matches) turn(STEP);
  else if (playing) pause();
  else start();
});
still.addEventListener("change", () => {
  pause();
  labelPlay();
});

// ---------------------------------------------------------------- sliders, keys, buttons, links

angle.addEventListener("input", () => {
  pause();
  turn(Math.round(Number(angle.value) * table.per_deg) - place.flywheel);
});
angle.addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey) return;
  const by = event.key === "Home" ? -place.flywheel : KEYS[event.key];
  if (by === undefined) return;
  event.preventDefault();
  pause();
  turn(event.shiftKey && event.key.startsWith("Arrow") ? by / FINE : by);
});
for (const control of controls) {
  const slider = sliderOf(control.name);
  slider.addEventListener("input", () => {
    setting = { ...setting, [control.name]: Number(slider.value) };
    place = turned(place, 0, setting); // Less play holds the cam no further away than it is wide.
    showSetting();
    show();
  });
}
for (const button of document.querySelectorAll("#model [data-turn]")) {
  button.addEventListener("click", () => {
    pause();
    turn(Number(/** @type {HTMLElement} */ (button).dataset.turn));
  });
}
one("#model-reset").addEventListener("click", () => {
  setting = reference();
  place = turned(place, 0, setting);
  note.textContent = "";
  showSetting();
  show();
});
window.addEventListener("hashchange", () => {
  const state = stateIn({ hash: location.hash, search: "" });
  if (state) apply(state);
});
// A link of this page sets the model without loading the page again; going back sets it back.
document.addEventListener("click", (event) => {
  const link = event.target instanceof Element ? event.target.closest("a[href]") : null;
  if (!(link instanceof HTMLAnchorElement) || link.pathname !== location.pathname) return;
  const state = stateIn(link);
  if (!state || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  if (location.hash.slice(1) === state) apply(state);
  else location.hash = state;
  document.querySelector("#model")?.scrollIntoView({ block: "start", behavior: "instant" });
});
window.addEventListener("beforeprint", () => one("#model-made").setAttribute("open", ""));

note.textContent = notes.join(" ");
labelPlay();
showSetting();
show();
document.querySelector("#model")?.setAttribute("data-ready", "");
