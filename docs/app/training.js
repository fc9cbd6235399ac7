// The way through the lessons, and the training record: what this computer knows of somebody's progress. No Python is needed.

import described from "../generated/lessons.json";
import { button, element } from "./element.js";
import { lessonProgress, progress } from "./progress.js";
import { isPieced, sharedTexts } from "./shared.js";

/** @typedef {{name: string, title: string, questions: string[]}} Lesson */

const lessons = /** @type {Lesson[]} */ (described);
/** Where the practice keeps its results: a list, one object for each engine that was examined. */
const PRACTICE = "spillmark.practice";
const NAMES = "spillmark.record.";

/** @param {Date} day */
function onPaper(day) {
  return `${day.getFullYear()}-${String(day.getMonth() + 1).padStart(2, "0")}-${String(day.getDate()).padStart(2, "0")}`;
}

function showProgress() {
  for (const place of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-progress]"))) {
    const lesson = lessons.find(({ name }) => name === place.dataset.progress);
    if (!lesson) continue;
    const { right, first, day } = lessonProgress(lesson.questions);
    place.classList.toggle("is-done", day !== undefined);
    place.textContent = day ? `all ${right} right, ${first} at the first try` : `${right} of ${lesson.questions.length} right`;
  }
}

/** A button that forgets the progress, and one that brings it back. @param {HTMLElement} place */
function offerForgetting(place) {
  const said = element("span", { role: "status" });
  const forget = button("Forget my progress", () => {
    const undo = progress.forget();
    said.replaceChildren("Your progress is forgotten. ", button("Undo", () => {
      undo();
      said.replaceChildren("Your progress is back.");
      forget.focus();
    }, { "data-act": "undo" }));
    /** @type {HTMLElement | null} */ (said.querySelector("button"))?.focus();
  }, { "data-act": "forget" });
  const show = () => {
    forget.disabled = progress.isBlank;
  };
  progress.addEventListener("changed", show);
  show();
  place.append(element("div", { class: "ws-bar" }, forget, said));
}

/** The lessons of the record, a row each. @param {HTMLElement} place */
function drawRecord(place) {
  const row = (/** @type {string} */ title, /** @type {string[]} */ questions) => {
    const { right, first, day } = lessonProgress(questions);
    return element("tr", {},
      element("th", { scope: "row" }, title),
      element("td", {}, `${right} of ${questions.length}`),
      element("td", {}, right ? `${first} of ${right}` : ""),
      element("td", {}, day ? onPaper(day) : ""));
  };
  const heads = ["Lesson", "Questions right", "At the first try", "Finished on"];
  place.replaceChildren(element("table", { class: "tr-lessons" },
    element("thead", {}, element("tr", {}, ...heads.map((each) => element("th", { scope: "col" }, each)))),
    element("tbody", {}, ...lessons.map(({ title, questions }) => row(title, questions))),
    element("tfoot", {}, row("All lessons", lessons.flatMap(({ questions }) => questions)))));
}

/** What the practice has kept, in a sentence; empty where there is nothing to tell. @param {string} text */
export function practiceWords(text) {
  try {
    const kept = JSON.parse(text);
    if (!Array.isArray(kept)) return "";
    const scores = kept.map((each) => each?.score).filter((each) => typeof each === "number" && Number.isFinite(each));
    if (!scores.length) return "";
    return `Engines examined: ${scores.length}. Best score: ${Math.max(...scores)} of 100. Latest score: ${scores[scores.length - 1]} of 100.`;
  } catch {
    return "";
  }
}

/** @param {HTMLElement} place */
function drawPractice(place) {
  place.textContent = sharedTexts(PRACTICE).map(practiceWords).find(Boolean) ?? "No engine examined on this computer.";
}

/** A name that is typed once and stays on this computer. @param {HTMLInputElement} field */
function keep(field) {
  const place = `${NAMES}${field.name}`;
  try {
    field.value = localStorage.getItem(place) ?? "";
  } catch {
    // No storage at all: it lasts as long as the page.
  }
  field.addEventListener("input", () => {
    try {
      localStorage.setItem(place, field.value);
    } catch {
      // As above.
    }
  });
}

/** @param {string} selector @param {(place: HTMLElement) => void} draw */
function at(selector, draw) {
  for (const place of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(selector))) draw(place);
}

function show() {
  showProgress();
  at("[data-record-lessons]", drawRecord);
  at("[data-record-practice]", drawPractice);
}

at("[data-forget]", offerForgetting);
at("[data-pieced]", (place) => {
  place.hidden = !isPieced();
});
at("[data-print]", (place) => place.append(button("Print the record", () => print(), { "data-act": "print" })));
for (const field of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll(".tr-names input"))) keep(field);
progress.addEventListener("changed", show);
show();
