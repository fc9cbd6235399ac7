// The readings: a table of start and end, a row per unit and event, and a table of what is read besides, each for one
// stage. A step of the job shows those that belong to it. A phone shows one unit at a time.

import { lacks } from "./arrangement.js";
import { explain, labelParts, noRows } from "./columns.js";
import { button, element } from "./element.js";
import { readings as described } from "./form.js";
import { Picker } from "./picker.js";
import { concerns, directionOf, otherThan, unitOf, unitsOf } from "./units.js";
import { capital, withUnit } from "./words.js";

/**
 * @import { ReadingEvent } from "./form.js"
 * @import { Entries } from "./entries.js"
 * @import { Entry } from "./entry.js"
 * @import { Sheet } from "./sheet.js"
 * @import { View } from "./view.js"
 */

const METHOD = "method";
/** Of either way of reading; has its own column. */
const ANGLE = "crank_angle_deg";

const timed = described.events.filter(({ methods }) => Object.keys(methods).length > 0);
const besides = described.events.filter(({ lists }) => lists.length > 0);
/** @typedef {{title: string, stage: string, events: ReadingEvent[]}} Part the readings of one stage that a step asks for */
/** Read in one way or the other: they share a column. */
const lifts = [...new Set(timed.flatMap(({ methods }) => Object.values(methods).flat()))].filter((name) => name !== ANGLE);
/** What may be noted with any reading. */
const remarks = Object.keys(described.fields).filter(
  (name) => ![METHOD, ANGLE, ...lifts, ...besides.flatMap((event) => event.lists)].includes(name));

/** The rows of one unit in one stage. */
class UnitRows {
  #sheet;
  #entries;
  #unit;
  #stage;
  /** @type {Entry[]} */
  #made = [];
  /** @type {(() => void)[]} */
  #adapters = [];
  /** The cells of what is read besides. @type {Map<ReadingEvent, HTMLElement>} */
  #cells = new Map();
  #events;
  /** The direction in which readings count. */
  #direction;
  /** Events with a reading that was reached the other way. */
  #others;

  /**
   * @param {Sheet} sheet
   * @param {Entries} entries
   * @param {number} unit
   * @param {{value: string, label: string}} stage
   * @param {ReadingEvent[]} events
   */
  constructor(sheet, entries, unit, stage, events) {
    this.#events = events;
    this.#sheet = sheet;
    this.#entries = entries;
    this.#unit = unit;
    this.#stage = stage;
    this.#direction = directionOf(sheet.texts);
    this.#others = described.events.filter(({ value }) => this.#holds(value, otherThan(this.#direction)));
    this.timed = this.#timedRows();
    this.besides = this.#besidesRows();
    this.adapt();
  }

  get #timed() {
    return this.#events.filter((event) => timed.includes(event));
  }

  get #besides() {
    return this.#events.filter((event) => besides.includes(event));
  }

  /** Rows of readings that have no way of reading yet. @returns {string[]} keys */
  get undecided() {
    return this.#timed.map(({ value }) => this.#key(value, this.#direction, METHOD)).filter((key) => !this.#sheet.text(key));
  }

  remove() {
    for (const { key } of this.#made) this.#entries.remove(key);
    this.timed.remove();
    this.besides.remove();
  }

  /** Show the fields that the way of reading asks for, and any other that holds something. */
  adapt() {
    for (const adapter of this.#adapters) adapter();
  }

  /** Whether anything is read of it. @param {ReadingEvent} event */
  reads(event) {
    return described.direction.values.some((reached) => this.#holds(event.value, reached))
      || this.#cells.get(event)?.contains(document.activeElement) === true;
  }

  /** Show what is read besides, or leave it out. @param {ReadingEvent} event @param {boolean} shown */
  offer(event, shown) {
    const cell = this.#cells.get(event);
    if (cell) cell.hidden = !shown;
  }

  /** @param {string} event @param {string} reached @param {string} name */
  #key(event, reached, name) {
    return `readings/${this.#unit}/${this.#stage.value}/${event}/${reached}/${name}`;
  }

  /** @param {string} event @param {string} reached */
  #holds(event, reached) {
    return this.#sheet.holds(`readings/${this.#unit}/${this.#stage.value}/${event}/${reached}`);
  }

  /** @param {ReadingEvent} event @param {string} reached @param {string} name */
  #add(event, reached, name) {
    const face = described.fields[name];
    const how = reached === this.#direction ? "" : `, reached ${reached}`;
    const label = `Unit ${this.#unit}, ${this.#stage.label}, ${event.label}${how}, ${face.label}`;
    const entry = this.#entries.add(face, this.#key(event.value, reached, name), { label });
    this.#made.push(entry);
    return entry;
  }

  #timedRows() {
    const body = element("tbody", { "data-unit": String(this.#unit) });
    for (const event of this.#timed) {
      body.append(this.#timedRow(event, this.#direction));
      if (this.#others.includes(event)) body.append(this.#timedRow(event, otherThan(this.#direction)));
    }
    body.rows[0]?.prepend(element("th", { scope: "rowgroup", rowspan: String(body.rows.length), class: "ws-number" },
      element("span", { class: "ws-phone" }, "Unit "), String(this.#unit)));
    return body;
  }

  /** @param {ReadingEvent} event @param {string} reached */
  #timedRow(event, reached) {
    const method = this.#add(event, reached, METHOD);
    const angle = this.#add(event, reached, ANGLE);
    const ask = element("p", { class: "ws-quiet" }, "Choose the way of reading first.");
    const choices = lifts.map((name) => ({ name, entry: this.#add(event, reached, name) }));
    const notes = remarks.map((name) => this.#add(event, reached, name));
    const row = element("tr", { class: "ws-reading" },
      element("th", { scope: "row" }, ...labelParts(event.label),
        ...(reached === this.#direction ? [] : [element("span", { class: "ws-quiet" }, ` ${notJudged(reached)}`)])),
      element("td", { "data-label": capital(described.fields[METHOD].label) }, method.box),
      element("td", { class: "ws-lift" }, ask, ...choices.map(({ name, entry }) => named(name, entry))),
      element("td", { "data-label": capital(withUnit(described.fields[ANGLE])) }, angle.box,
        ...notes.map((entry) => named(entry.label, entry))));
    this.#adapters.push(() => {
      const wanted = event.methods[this.#sheet.text(method.key)] ?? [];
      for (const { name, entry } of choices) show(entry, wanted.includes(name) || this.#sheet.text(entry.key) !== "");
      for (const entry of notes) show(entry, this.#sheet.text(entry.key) !== "");
      ask.hidden = choices.some(({ entry }) => !entry.box.parentElement?.hidden);
      row.classList.toggle("is-blank", !this.#holds(event.value, reached));
    });
    return row;
  }

  #besidesRows() {
    const body = element("tbody", { "data-unit": String(this.#unit) });
    const row = element("tr", {}, element("th", { scope: "row", class: "ws-number" },
      element("span", { class: "ws-phone" }, "Unit "), String(this.#unit)));
    for (const event of this.#besides) {
      const other = otherThan(this.#direction);
      const entries = event.lists.map((name) => this.#add(event, this.#direction, name));
      const others = this.#others.includes(event) ? event.lists.map((name) => this.#add(event, other, name)) : [];
      const notes = remarks.map((name) => this.#add(event, this.#direction, name));
      const cell = element("td", { "data-label": capital(besideLabel(event)) }, ...entries.map(({ box }) => box),
        ...others.map((entry) => named(notJudged(other), entry)),
        ...notes.map((entry) => named(entry.label, entry)));
      this.#cells.set(event, cell);
      row.append(cell);
      this.#adapters.push(() => {
        for (const entry of notes) show(entry, this.#sheet.text(entry.key) !== "");
      });
    }
    this.#adapters.push(() => row.classList.toggle("is-blank", !this.#besides.some(({ value }) => this.#holds(value, this.#direction))));
    body.append(row);
    return body;
  }
}

/** @param {string} reached */
function notJudged(reached) {
  return `reached ${reached}: kept, not judged`;
}

/** With the unit of the one list that such a reading has. @param {ReadingEvent} event */
function besideLabel({ label, lists }) {
  const { unit } = described.fields[lists[0]];
  return withUnit({ label, unit });
}

/** A field with its name above it, where the column has several. @param {string} name @param {Entry} entry */
function named(name, entry) {
  const face = described.fields[name];
  const label = face ? withUnit(face) : name;
  return element("div", { class: "ws-named" }, element("span", { class: "ws-name", "aria-hidden": "true" }, capital(label)), entry.box);
}

/** What somebody types into is not taken away from under the hands. @param {Entry} entry @param {boolean} shown */
function show(entry, shown) {
  if (entry.box.parentElement) entry.box.parentElement.hidden = !shown && entry.control !== document.activeElement;
}

/** Both tables of one stage, as far as a step asks for them. */
class StagePanel {
  #sheet;
  #entries;
  #stage;
  #events;
  /** @type {Map<number, UnitRows>} */
  #units = new Map();
  #timed;
  #besides;
  /** @type {Map<ReadingEvent, HTMLElement>} */
  #heads;
  #setAll = this.#makeSetAll();

  /**
   * @param {Sheet} sheet
   * @param {Entries} entries
   * @param {Part} part
   */
  constructor(sheet, entries, { title, stage, events }) {
    this.#sheet = sheet;
    this.#entries = entries;
    this.#events = events;
    const described_ = described.stages.find(({ value }) => value === stage);
    if (!described_) throw new Error(`no stage ${stage}`);
    this.#stage = described_;
    const { label } = described_;
    const { fields } = described;
    this.#timed = element("table", { class: "ws-table ws-timed" },
      element("caption", {}, `Start and end, ${label}`),
      element("thead", {}, element("tr", {},
        element("th", { scope: "col" }, "Unit"), element("th", { scope: "col" }, "Event"),
        element("th", { scope: "col" }, capital(fields[METHOD].label)),
        element("th", { scope: "col" }, capital(lifts.map((name) => fields[name].label).join(" or "))),
        element("th", { scope: "col" }, capital(withUnit(fields[ANGLE]))))));
    this.#heads = new Map(besides.filter((event) => events.includes(event))
      .map((event) => [event, element("th", { scope: "col" }, ...labelParts(besideLabel(event)))]));
    this.#besides = element("table", { class: "ws-table ws-besides" },
      element("caption", {}, title),
      element("thead", {}, element("tr", {},
        element("th", { scope: "col" }, "Unit"), ...this.#heads.values())));
    this.#timed.hidden = !events.some((event) => timed.includes(event));
    this.box = element("div", { class: "ws-stage", "data-stage": stage }, this.#setAll, this.#timed, this.#besides);
  }

  /** The way of reading is mostly the same all through, but it is never assumed. */
  #makeSetAll() {
    const { choices } = described.fields[METHOD];
    return element("div", { class: "ws-setall", role: "group", "aria-label": "Way of reading for all rows without one" },
      element("span", {}, "Set all rows without a way of reading:"),
      ...choices.map(({ value, label }) => button(capital(label), () => {
        for (const key of [...this.#units.values()].flatMap((rows) => rows.undecided)) {
          this.#sheet.type(key, value);
          this.#entries.at(key)?.refresh();
        }
        // These buttons are gone now; go on with the readings of the unit at hand.
        /** @type {HTMLElement | null} */ (this.#timed.querySelector(".is-here select"))?.focus();
      })));
  }

  /** Take all rows out: another job may need other ones. */
  clear() {
    for (const rows of this.#units.values()) rows.remove();
    this.#units.clear();
  }

  /** @param {number[]} units @param {View} view */
  adapt(units, view) {
    for (const [unit, rows] of this.#units) {
      if (units.includes(unit)) continue;
      rows.remove();
      this.#units.delete(unit);
    }
    for (const unit of units) {
      const rows = this.#units.get(unit);
      if (rows) rows.adapt();
      else this.#insert(unit, units);
    }
    const rows = [...this.#units.values()];
    for (const [event, head] of this.#heads) {
      // What is read all the same stays in sight.
      const shown = !lacks(this.#sheet, event.needs) || rows.some((each) => each.reads(event));
      head.hidden = !shown;
      for (const each of rows) each.offer(event, shown);
    }
    this.#setAll.hidden = this.#timed.hidden || [...this.#units.values()].every(({ undecided }) => undecided.length === 0);
    for (const [unit, { timed: first, besides: second }] of this.#units) {
      for (const body of [first, second]) body.classList.toggle("is-here", unit === view.unit);
    }
  }

  /** Put a unit's rows in their place without moving any other's, or the focus there would be lost. @param {number} unit @param {number[]} units */
  #insert(unit, units) {
    const rows = new UnitRows(this.#sheet, this.#entries, unit, this.#stage, this.#events);
    const next = units.slice(units.indexOf(unit) + 1).map((each) => this.#units.get(each)).find(Boolean);
    this.#timed.insertBefore(rows.timed, next?.timed ?? null);
    this.#besides.insertBefore(rows.besides, next?.besides ?? null);
    this.#units.set(unit, rows);
  }
}

export class Readings {
  #sheet;
  #view;
  #panels;
  #picker;
  #none = noRows();
  #tables;
  #direction = "";
  #turn = element("p", { class: "ws-turn" });

  /**
   * @param {Sheet} sheet
   * @param {Entries} entries
   * @param {View} view
   * @param {Part[]} parts
   */
  constructor(sheet, entries, view, parts) {
    this.#sheet = sheet;
    this.#view = view;
    this.#picker = new Picker(view);
    this.#panels = parts.map((part) => new StagePanel(sheet, entries, part));
    this.#tables = element("div", {}, this.#picker.box, ...this.#panels.map(({ box }) => box));
    const { fields } = described;
    const names = [...new Set(parts.flatMap(({ events }) => events).flatMap(({ methods, lists: read }) =>
      read.length ? read : [METHOD, ...Object.values(methods).flat()]))];
    this.box = element("div", { class: "ws-readings" }, this.#turn, this.#none, this.#tables, explain(names.map((name) => fields[name])));
    this.box.addEventListener("reveal", (event) => this.#reveal(/** @type {CustomEvent<string>} */ (event).detail));
    this.box.addEventListener("keydown", (event) => this.#onKey(event));
    const adapt = () => this.#adapt();
    // The readings of another stage stand in another step.
    const isHere = (/** @type {string} */ key) => !key.includes("/") || parts.some(({ stage }) => key.includes(`/${stage}/`));
    sheet.onTyped((key) => concerns(key, "readings") && isHere(key), adapt);
    const begin = () => {
      for (const panel of this.#panels) panel.clear();
      adapt();
    };
    sheet.addEventListener("replaced", () => {
      view.move({ unit: unitsOf(sheet.texts)[0] ?? 1 });
      view.draw(this.box, begin);
    });
    view.addEventListener("moved", () => view.draw(this.box, adapt));
    adapt();
  }

  #adapt() {
    const units = unitsOf(this.#sheet.texts);
    this.#none.hidden = units.length > 0;
    this.#tables.hidden = units.length === 0;
    if (units.length && !units.includes(this.#view.unit)) return this.#view.move({ unit: units[0] });
    this.#adaptDirection();
    for (const panel of this.#panels) panel.adapt(units, this.#view);
    this.#picker.offer(units);
  }

  /** Other rows count in the other direction. What was typed stays in the sheet, and is shown where it now belongs. */
  #adaptDirection() {
    const direction = directionOf(this.#sheet.texts);
    if (direction === this.#direction) return;
    this.#direction = direction;
    for (const panel of this.#panels) panel.clear();
    this.#turn.replaceChildren(element("strong", {}, `Turn ${direction} for every reading.`),
      ` Before and after TDC are meant in ${direction} rotation.`);
  }

  /** @param {string} key */
  #reveal(key) {
    const unit = unitOf(key);
    if (unit !== undefined) this.#view.move({ unit });
  }

  /** Enter goes to the next reading, on a phone to the next unit's first after the last. @param {KeyboardEvent} event */
  #onKey(event) {
    if (event.key !== "Enter" || !(event.target instanceof HTMLInputElement)) return;
    event.preventDefault();
    const stage = event.target.closest(".ws-stage");
    const all = [...(stage?.querySelectorAll("input") ?? [])].filter((each) => !each.closest("[hidden]"));
    const next = all[all.indexOf(event.target) + 1];
    if (!next) return;
    this.#reveal(next.name);
    next.focus();
    next.select();
  }
}

/** The readings that a step asks for, by the step. @type {Record<string, Part[]>} */
export const partsOfSteps = (() => {
  const later = besides.filter(({ step }) => step !== "");
  const own = described.events.filter((event) => !later.includes(event));
  /** @type {Record<string, Part[]>} */
  const parts = Object.fromEntries(described.stages.map((stage) => [stage.step, [part(stage, own, "Gauge checks")]]));
  for (const { step } of later) {
    parts[step] = described.stages.map((stage) => part(stage, later.filter((event) => event.step === step), "Cut-out"));
  }
  return parts;
})();

/** @param {{value: string, label: string}} stage @param {ReadingEvent[]} events @param {string} what @returns {Part} */
function part({ value, label }, events, what) {
  return { stage: value, events, title: `${what}, ${label}` };
}
