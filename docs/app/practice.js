// The practice engine's page. Python holds the engine; the page keeps the list of what was done and draws what Python shows.
// Python starts with the first engine, or when an engine was left open by an earlier page.

import levels from "../generated/practice-levels.json";
import { give } from "./download.js";
import { button, element } from "./element.js";
import { Place } from "./place.js";
import { Answers, farLabel, waysOf } from "./practice/answers.js";
import { keepOpen, keepResult, readOpen, results } from "./practice/kept.js";
import { DialGauge, Flywheel, choice, offer, text } from "./practice/parts.js";
import { startPython } from "./python/client.js";
import { Status } from "./status.js";

/**
 * @import { Choices } from "./practice/answers.js"
 * @import { Open } from "./practice/kept.js"
 * @import { Python } from "./python/client.js"
 * @typedef {Choices & {title: string, say: string, tdc: {unit: number, deg: number}[], index: number, index_words: string,
 *   record: string}} Engine
 * @typedef {Record<string, any>} Told Python's answer
 */

const ELSEWHERE = "Open this page in another browser.";
const ADVICE = { report: "Report it, with the engine's number.", elsewhere: ELSEWHERE };
const MOST_NUMBER = 99999;
const GAUGES = /** @type {const} */ ([
  ["plunger", "Plunger", "Creep to reference lift"],
  ["suction_closing", "Suction valve", "Creep to contact"],
  ["spill_opening", "Spill valve", "Creep to contact"],
]);
const READINGS = /** @type {const} */ ([
  ["suction_closing", "Start"], ["spill_opening", "End"], ["base_return", "Return to zero"], ["peak", "Peak lift"],
  ["zero_index", "Opening at index 0"],
]);
const STEPS = /** @type {const} */ ([-10, -1, -0.1, 0.1, 1, 10]);

/** @type {Python | undefined} */
let python;

function start() {
  python ??= startPython({ onPhase: (progress) => status.show(progress), advice: ADVICE });
  return python;
}

const status = new Status(() => python?.restart().then(() => desk.refresh()).catch(() => {}),
  { safe: `What you did is kept. ${ELSEWHERE}` });

/** @param {number} number */
const unitOption = (number) => /** @type {const} */ ([String(number), `Unit ${number}`]);

/** The engine on the desk: everything that is seen and done. */
class Desk {
  /** @type {Open | null} */
  #open = null;
  /** @type {Engine | null} */
  #engine = null;
  /** One thing after the other: each rests on the list that the one before has left. @type {Promise<unknown>} */
  #work = Promise.resolve();

  #title = element("h2", { tabindex: "-1" });
  #say = element("p", {});
  #record = new Place(element("div", {}));
  #said = element("p", { class: "pr-said", role: "status" });
  #wheel = new Flywheel();
  #rim = new Place(element("div", {}));
  #scale = element("p", { class: "pr-scale" });
  #way = element("p", { class: "ws-quiet" });
  #atHand = element("p", {});
  #tally = element("p", { class: "ws-quiet" });
  #clear = this.#act("All clear", ["clear"], { "data-act": "clear" });
  #mark = choice("Count from the TDC mark of", "mark", [], (unit) => this.do(["mark", Number(unit)]));
  #angle = text("Angle from this mark, like 10 before", "angle");
  #gauges = new Map(GAUGES.map(([key]) => [key, { dial: new DialGauge(), digits: element("p", { class: "pr-digits" }) }]));
  #mount = choice("Unit with the gauges", "mount", [], (unit) => unit && this.do(["mount", Number(unit)]));
  #index = { zero: this.#act("Index 0", ["index", 0], { "data-act": "index-0" }), full: element("span", {}) };
  #notebook = new Place(element("div", { class: "pr-notebook" }));
  #moveUnit = choice("Unit", "move-unit", [], () => {});
  #movePart = choice("Part", "move-part", [], () => this.#fitMove());
  #moveWay = choice("Way", "move-way", [], () => {});
  #moveFar = text("How far", "move-far");
  #answers = new Answers((answers) => {
    if (this.#open) keepOpen({ ...this.#open, answers });
  });
  #findings = new Place(element("div", { class: "pr-findings" }));
  #result = new Place(element("div", { class: "pr-result", tabindex: "-1" }));
  #indexBar = element("div", { class: "ws-bar" });

  box = this.#draw();

  /** @param {string} face @param {unknown} action @param {Record<string, string>} [attributes] */
  #act(face, action, attributes = {}) {
    return button(face, () => this.do(action), attributes);
  }

  #draw() {
    const steps = STEPS.map((step) => this.#act(`${step < 0 ? "−" : "+"}${Math.abs(step)}°`, ["turn", step],
      { "data-turn": String(step), "aria-label": `${Math.abs(step)}° ${step < 0 ? "astern" : "ahead"}` }));
    this.#notebook.box.addEventListener("click", ({ target }) => {
      const line = target instanceof Element ? target.closest("[data-strike]") : null;
      if (line instanceof HTMLElement) this.do(["strike", Number(line.dataset.strike)]);
    });
    /** @param {HTMLElement} field @param {() => void} act */
    const onEnter = (field, act) => field.addEventListener("keydown", ({ key }) => key === "Enter" && act());
    const turnTo = () => this.do({ do: "to", unit: Number(this.#mark.select.value), typed: this.#angle.input.value });
    const move = () => this.do({ do: "correct", unit: Number(this.#moveUnit.select.value), cause: this.#movePart.select.value,
      way: this.#moveWay.select.value, amount: this.#moveFar.input.value });
    onEnter(this.#angle.input, turnTo);
    onEnter(this.#moveFar.input, move);
    return element("div", { class: "pr-desk", hidden: true },
      this.#title, this.#say,
      element("details", { class: "pr-record" }, element("summary", {}, "The engine's record and instruments"), this.#record.box),
      element("div", { class: "pr-panel" },
        section("Flywheel", "pr-flywheel",
          element("div", { class: "pr-wheelbox" }, this.#wheel.box,
            element("div", { class: "pr-reads" }, this.#rim.box, this.#scale, this.#way)),
          element("div", { class: "pr-clear" }, this.#clear,
            element("span", {}, "Count everyone. See all hands clear. Say it aloud.")),
          element("div", { class: "pr-steps", role: "group", "aria-label": "Turn" },
            element("span", { class: "ws-quiet" }, "Astern"), ...steps.slice(0, 3),
            element("span", { class: "ws-quiet" }, "Ahead"), ...steps.slice(3)),
          element("div", { class: "pr-row" }, this.#mark.box, this.#angle.box,
            button("Turn ahead to it", turnTo, { "data-act": "to" })),
          this.#tally),
        section("Gauges", "pr-gauges",
          element("div", { class: "pr-row" }, this.#mount.box), this.#atHand,
          element("div", { class: "pr-dials" }, ...GAUGES.map(([key, name, creep]) => this.#gauge(key, name, creep))),
          this.#indexBar),
        section("Read", "pr-read",
          element("p", { class: "ws-quiet" }, "A reading counts only when it is reached ahead."),
          element("div", { class: "ws-bar" }, ...READINGS.map(([event, face]) =>
            this.#act(face, ["read", event], { "data-read": event }))))),
      section("Notebook", "pr-book", this.#notebook.box),
      section("Correct", "pr-correct",
        element("p", { class: "ws-quiet" }, "Read all units before you move anything. A rod is moved in quarters of a flat. Moving a cam or the drive is the maker's procedure."),
        element("div", { class: "pr-row" }, this.#moveUnit.box, this.#movePart.box, this.#moveWay.box, this.#moveFar.box,
          button("Move it", move, { "data-act": "move" })),
        element("div", { class: "ws-bar" },
          button("Check TDC by equal heights", () => this.do(["tdc", Number(this.#mark.select.value)]), { "data-act": "tdc" }))),
      section("Your answer", "pr-answerbox", this.#answers.box,
        element("div", { class: "ws-bar" },
          button("Check my answer", () => this.#check(), { "data-act": "check" }),
          button("Show the findings", () => this.#find(), { "data-act": "findings" }),
          button("Save as a job file", () => this.#save(), { "data-act": "save" })),
        this.#findings.box, this.#result.box),
      this.#said);
  }

  /** @param {"plunger" | "suction_closing" | "spill_opening"} key @param {string} name @param {string} creep */
  #gauge(key, name, creep) {
    const parts = this.#gauges.get(key);
    return element("div", { class: "pr-gauge", role: "group", "aria-label": `${name} gauge` },
      element("p", { class: "pr-name" }, name), ...(parts ? [parts.dial.box, parts.digits] : []),
      this.#act("Set to 0", ["zero", key], { "data-zero": key }),
      this.#act(creep, ["creep", key, 1], { "data-creep": key }),
      this.#act("Creep astern", ["creep", key, -1], { "data-astern": key }));
  }

  #fitMove() {
    if (!this.#engine) return;
    const part = this.#movePart.select.value;
    offer(this.#moveWay.select, waysOf(this.#engine, part));
    /** @type {HTMLElement} */ (this.#moveFar.box.firstElementChild).textContent = farLabel(this.#engine, part);
    this.#moveUnit.box.hidden = this.#engine.causes.common.some(([each]) => each === part);
  }

  /** Put an engine on the desk. @param {Open} open */
  async begin(open) {
    this.#open = open;
    this.#engine = null;
    keepOpen(open);
    this.#findings.put("");
    this.#result.put("");
    await this.refresh();
  }

  /** Ask for everything again, as after a restart. */
  async refresh() {
    if (!this.#open) return;
    const told = await this.#ask({ want: "engine" });
    if (!told?.engine || !this.#open) return;
    const engine = this.#engine = /** @type {Engine} */ (told.engine);
    this.#title.textContent = engine.title;
    this.#say.textContent = engine.say;
    this.#record.put(told.engine.record);
    this.#wheel.mark(engine.tdc);
    const units = engine.units.map(unitOption);
    offer(this.#mark.select, units);
    offer(this.#mount.select, [["", "None"], ...units]);
    offer(this.#moveUnit.select, units);
    offer(this.#movePart.select, [...engine.causes.parts, ...engine.causes.common]);
    this.#fitMove();
    this.#index.full = this.#act(`Index ${engine.index_words}`, ["index", engine.index], { "data-act": "index-full" });
    this.#indexBar.replaceChildren(element("span", {}, "Index lever"), this.#index.full, this.#index.zero);
    this.#answers.draw(engine, this.#open.answers);
    this.box.hidden = false;
    this.#show(told);
  }

  /** @param {unknown} act */
  do(act) {
    this.#work = this.#work.then(async () => {
      const told = await this.#ask({ act });
      if (told) this.#show(told);
    });
    return this.#work;
  }

  /** @param {Record<string, unknown>} more @returns {Promise<Told | null>} */
  async #ask(more) {
    const open = this.#open;
    if (!open) return null;
    const { number, level, actions } = open;
    const told = await start().call({ do: "practice", number, level, actions, ...more })
      .catch(({ message }) => ({ errors: [String(message)] }));
    // Another engine may have been put here meanwhile.
    if (open !== this.#open) return null;
    if ("errors" in told) {
      this.#tell(told.errors.join(" "), true);
      return null;
    }
    open.actions = told.actions;
    keepOpen(open);
    return told;
  }

  /** @param {string} words @param {boolean} refused */
  #tell(words, refused) {
    this.#said.classList.toggle("is-refused", refused);
    // The same words again are news again.
    this.#said.replaceChildren(element("span", {}, words));
  }

  /** @param {Told} told */
  #show({ panel, rim, notebook, said, refused }) {
    if (said) this.#tell(said, refused || said.startsWith("Stop."));
    this.#wheel.show(panel.turned);
    this.#rim.put(rim);
    this.#scale.textContent = panel.scale;
    this.#way.textContent = panel.way;
    this.#tally.textContent = panel.tally;
    this.#atHand.textContent = panel.at_hand;
    this.#clear.setAttribute("aria-pressed", String(panel.clear));
    this.#mark.select.value = String(panel.mark);
    this.#mount.select.value = panel.mounted ? String(panel.mounted) : "";
    this.#index.zero.setAttribute("aria-pressed", String(panel.index === 0));
    this.#index.full.setAttribute("aria-pressed", String(panel.index !== 0));
    for (const [key, { dial, digits }] of this.#gauges) {
      dial.show(panel.gauges[key]);
      digits.textContent = panel.gauges[key].text;
    }
    this.#notebook.put(notebook);
    this.box.dataset.done = String(this.#open?.actions.length);
  }

  #find() {
    return this.do(["ask"]).then(async () => {
      const told = await this.#ask({ want: "findings" });
      if (told) this.#findings.put(told.findings);
    });
  }

  async #check() {
    await this.#work;
    const open = this.#open;
    const told = await this.#ask({ want: "score", answers: open?.answers });
    if (!told || !open) return;
    if (told.troubles) return this.#tell(told.troubles.join(" "), true);
    this.#result.put(told.result);
    this.#result.box.focus();
    // The result tells the truth, so only the first one counts.
    const again = open.checked;
    if (!again) keepResult({ seed: open.number, level: open.level, score: told.score, date: new Date().toISOString().slice(0, 10) });
    open.checked = true;
    keepOpen(open);
    showResults();
    this.#tell(`${told.score} of 100 points. ${again ? "The first result of an engine is the one that is kept."
      : "The result says what was lost, and what to learn."}`, false);
  }

  async #save() {
    const told = await this.#ask({ want: "job" });
    if (!told) return;
    give(told.text, told.name, "application/json");
    this.#tell(`Saved as ${told.name}. The worksheet opens it.`, false);
  }

  focus() {
    this.#title.focus();
  }
}

/** @param {string} title @param {string} name @param {...(Node | string)} children */
function section(title, name, ...children) {
  return element("section", { class: name, "aria-labelledby": `${name}-title` }, element("h3", { id: `${name}-title` }, title), ...children);
}

const past = element("div", { class: "pr-past" });

/** The last results, newest first. */
function showResults() {
  const list = results();
  past.replaceChildren(...(list.length ? [element("p", { class: "ws-quiet" },
    `Your last results: ${list.slice(-5).reverse().map(({ seed, level, score }) => `${score} points (level ${level}, engine no. ${seed})`).join("; ")}.`)] : []));
}

const desk = new Desk();
const place = document.getElementById("practice");
if (place) {
  const level = choice("Level", "level", levels.map(({ number, title }) => /** @type {const} */ ([String(number), `${number}: ${title}`])), () => {});
  const number = text("Engine no. (leave empty for any)", "number");
  const begin = async () => {
    const typed = number.input.value.trim();
    // Any number will do; the engine is Python's.
    const wanted = typed ? Number(typed) : 1 + Math.floor(Math.random() * 9999);
    const allowed = Number.isInteger(wanted) && wanted >= 1 && wanted <= MOST_NUMBER;
    number.input.setAttribute("aria-invalid", String(!allowed));
    trouble.textContent = allowed ? "" : `Engine no.: “${typed}” found. Write a whole number from 1 to ${MOST_NUMBER}, or leave it empty.`;
    if (!allowed) return number.input.focus();
    await desk.begin({ number: wanted, level: Number(level.select.value), actions: [], answers: {}, checked: false });
    desk.focus();
  };
  const trouble = element("p", { class: "pr-trouble", role: "status" });
  place.append(
    element("div", { class: "pr-row pr-setup" }, level.box, number.box, button("Start this engine", begin, { "data-act": "start" })),
    trouble, past, status.box, desk.box);
  showResults();
  const open = readOpen();
  if (open) {
    level.select.value = String(open.level);
    number.input.value = String(open.number);
    desk.begin(open);
  }
}
