// Pages with forms of calculations: `<div class="calculation" data-calculation="NAME"></div>` becomes the form of that
// calculation. It can be typed into at once. Python starts when a form comes near, and not before: it is large.

import described from "../generated/calculators.json";
import { CalculationForm, FormTexts, prefixOf } from "./calculation.js";
import { give } from "./download.js";
import { button, element } from "./element.js";
import { News } from "./news.js";
import { startPython } from "./python/client.js";
import { Status } from "./status.js";

/**
 * @import { Answer, Store, Texts } from "./calculation.js"
 * @import { Group } from "./form.js"
 * @import { Progress, Python } from "./python/client.js"
 * @typedef {{name: string, title: string, say: string, groups: Group[], example: Texts}} Described
 */

// What tsc infers from the file's present content is too narrow.
const calculations = new Map(/** @type {Described[]} */ (/** @type {unknown} */ (described)).map((each) => [each.name, each]));

const KEPT = "spillmark-calculation-";
const ELSEWHERE = "Open this page in another browser.";
const ADVICE = { report: "Save the input and report it.", elsewhere: ELSEWHERE };
const SAFE = `What you typed is kept. ${ELSEWHERE}`;
/** How near a form has to come before Python starts, as a part of the window. */
const NEAR = "25% 0px";

/** @type {Answer} of a form that has nothing to ask, or nobody to ask */
const SILENCE = { fields: {}, missing: [], said: "", html: "" };

/**
 * What is typed into one form, kept in this browser, so that it is there again when the page is.
 * @param {Described} calculation
 * @returns {Store}
 */
function keeper({ name, groups }) {
  const keys = groups.flatMap(({ rows, fields }) => fields.map(({ key }) => (rows ? `${rows.key}/N/${key}` : key)));
  let texts = kept(`${KEPT}${name}`, (key) => keys.includes(key.replace(/\/\d{1,4}\//, "/N/")));
  return {
    read: () => texts,
    write(now) {
      texts = now;
      try {
        if (Object.keys(now).length) localStorage.setItem(`${KEPT}${name}`, JSON.stringify(now));
        else localStorage.removeItem(`${KEPT}${name}`);
      } catch {
        // No room, or no storage at all: it lasts as long as the page.
      }
    },
  };
}

/**
 * The texts that an earlier page has kept; none where it is nothing that this page keeps.
 * @param {string} place @param {(key: string) => boolean} knows whether the form has such a field
 * @returns {Texts}
 */
function kept(place, knows) {
  try {
    const texts = JSON.parse(localStorage.getItem(place) ?? "{}");
    return Object.fromEntries(Object.entries(texts).filter(([key, text]) => typeof text === "string" && knows(key)));
  } catch {
    return {};
  }
}

/** @type {Python | undefined} */
let python;
/** @type {Calculator[]} */
const all = [];

function start() {
  python ??= startPython({ onPhase, advice: ADVICE });
  return python;
}

/** @param {Progress} progress */
function onPhase(progress) {
  for (const calculator of all) calculator.hear(progress);
}

class Calculator {
  #described;
  #texts;
  #form;
  #status;
  #changed;
  #saved;
  #banner = element("p", { class: "ws-demo" }, "Example: invented numbers");

  /** @param {HTMLElement} place @param {Described} calculation */
  constructor(place, calculation) {
    const { name, title, say } = calculation;
    this.#described = calculation;
    this.#texts = new FormTexts(prefixOf(name), keeper(calculation));
    this.#form = new CalculationForm(this.#texts, calculation, (_, typed) => this.#ask(typed));
    this.#changed = new News(this.#texts);
    this.#saved = new News(this.#texts);
    // Many forms, one Python: it is spoken of once.
    this.#status = new Status(() => python?.restart(), { safe: SAFE, spoken: all.length === 0 });
    for (const each of ["typed", "replaced"]) this.#texts.addEventListener(each, () => this.#showExample());
    this.#showExample();
    place.id ||= `calculation-${name}`;
    place.append(element("section", { "aria-label": title },
      ...(place.dataset.titled === undefined ? [element("p", { class: "ws-title" }, title)] : []),
      element("p", { class: "ws-say" }, say),
      element("div", { class: "ws-bar" },
        button("Fill in the example", () => this.#fill(), { "data-act": "example" }),
        button("Clear", () => this.#clear(), { "data-act": "clear" })),
      this.#changed.box, this.#status.box, this.#banner, ...this.#form.parts,
      element("div", { class: "ws-bar" }, button("Save input", () => this.#save(), { "data-act": "save" })), this.#saved.box));
    place.addEventListener("focusin", start);
    // What was kept is nothing that somebody is in the middle of typing.
    if (!this.#texts.isBlank) this.#texts.dispatchEvent(new Event("replaced"));
  }

  /** @param {Progress} progress */
  hear(progress) {
    this.#status.show(progress);
    if (progress.phase === "ready" || progress.phase === "failed") this.#form.refresh();
  }

  /** @param {Texts} typed @returns {Promise<Answer | null>} */
  async #ask(typed) {
    if (this.#texts.isBlank || !python || document.documentElement.dataset.calc !== "ready") return SILENCE;
    const { name } = this.#described;
    const answer = await python.callLatest(`compute ${name}`, { do: "compute", name, typed });
    // It may have been cleared meanwhile.
    return this.#texts.isBlank ? SILENCE : /** @type {Answer | null} */ (answer);
  }

  #showExample() {
    const { example } = this.#described;
    const { texts } = this.#texts;
    this.#banner.hidden = Object.keys(texts).length !== Object.keys(example).length
      || Object.entries(example).some(([key, text]) => texts[key] !== text);
  }

  #fill() {
    this.#texts.replace({ ...this.#described.example });
    this.#changed.say("The example is filled in. Its numbers are invented.", { undo: true });
  }

  #clear() {
    this.#texts.replace({});
    this.#changed.say("The form is empty.", { undo: true });
  }

  async #save() {
    const { name } = this.#described;
    if (document.documentElement.dataset.calc !== "ready") this.#saved.say("The input is saved as soon as Python is ready.");
    /** @type {Record<string, any>} */
    const made = await start().call({ do: "compute_input", name, typed: this.#texts.texts })
      .catch(({ message }) => ({ errors: [message] }));
    if (made.errors) return this.#saved.say(`The input was not saved. ${made.errors.join(" ")}`);
    give(made.text, made.name, "application/json");
    this.#saved.say(`The input is saved as ${made.name}. On the command line: ${made.command}`);
  }
}

const near = new IntersectionObserver((seen) => {
  if (!seen.some(({ isIntersecting }) => isIntersecting)) return;
  near.disconnect();
  start();
}, { rootMargin: NEAR });

// A list of many lines would be cut off on paper.
addEventListener("beforeprint", () => {
  for (const field of document.querySelectorAll(/** @type {"textarea"} */ (".calculation textarea"))) {
    field.rows = Math.max(field.rows, field.value.trim().split("\n").length);
  }
});

const drawn = new Set();
for (const place of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".calculation[data-calculation]"))) {
  const name = place.dataset.calculation ?? "";
  const calculation = calculations.get(name);
  if (!calculation || drawn.has(name)) {
    // Two forms of one calculation would share their texts and not know of each other.
    place.append(element("p", {}, calculation ? `${calculation.title}: the form stands above on this page.` : `There is no calculation ${name}.`));
    continue;
  }
  drawn.add(name);
  all.push(new Calculator(place, calculation));
  near.observe(place);
}
