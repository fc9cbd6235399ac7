// A compact table: a row per unit, a column per setting. Where rows have another name before the unit's, there is a table for each.

import { explain, labelParts, noRows } from "./columns.js";
import { element } from "./element.js";
import { Picker } from "./picker.js";
import { concerns, unitOf, unitsOf } from "./units.js";
import { capital, withUnit } from "./words.js";

/**
 * @import { Table } from "./form.js"
 * @import { Entries } from "./entries.js"
 * @import { Sheet } from "./sheet.js"
 * @import { View } from "./view.js"
 */

export class UnitGrid {
  #sheet;
  #entries;
  #table;
  #path;
  #title;
  #body = element("tbody");
  #none = noRows();
  #grid;
  #view;
  #picker;
  /** @type {Map<number, HTMLTableRowElement>} */
  #rows = new Map();

  /**
   * @param {Pick<Sheet, "texts" | "onTyped" | "addEventListener">} sheet
   * @param {Entries} entries
   * @param {View} view
   * @param {Table} table
   * @param {{path?: string, title?: string}} [options] `path`: what stands before the unit in the keys
   */
  constructor(sheet, entries, view, table, { path = table.key, title = table.title } = {}) {
    this.#sheet = sheet;
    this.#entries = entries;
    this.#table = table;
    this.#path = path;
    this.#title = title;
    this.#view = view;
    this.#picker = new Picker(view, { of: title });
    const heads = table.columns.map((face) => element("th", { scope: "col" }, ...labelParts(withUnit(face))));
    this.#grid = element("table", { class: "ws-table ws-settings" },
      element("caption", {}, title),
      element("thead", {}, element("tr", {}, element("th", { scope: "col" }, "Unit"), ...heads)), this.#body);
    this.box = element("div", { class: "ws-tablebox" }, this.#picker.box, this.#grid, this.#none, explain(table.columns));
    const adapt = () => this.#adapt();
    sheet.addEventListener("replaced", () => view.draw(this.box, adapt));
    sheet.onTyped((key) => concerns(key, this.#path), adapt);
    view.addEventListener("moved", () => this.#showHere());
    this.box.addEventListener("reveal", (event) => {
      const unit = unitOf(/** @type {CustomEvent<string>} */ (event).detail);
      if (unit !== undefined) view.move({ unit });
    });
    adapt();
  }

  /** Have a row for every unit; rows that stay are left alone, so that the focus stays too. */
  #adapt() {
    const units = unitsOf(this.#sheet.texts);
    this.#grid.hidden = units.length === 0;
    this.#none.hidden = units.length > 0;
    this.#picker.offer(units);
    this.#picker.box.hidden = units.length === 0;
    if (units.join() === [...this.#rows.keys()].join()) return;
    for (const [unit, row] of this.#rows) {
      if (units.includes(unit)) continue;
      row.remove();
      for (const { key } of this.#table.columns) this.#entries.remove(this.#key(unit, key));
    }
    this.#rows = new Map(units.map((unit) => [unit, this.#rows.get(unit) ?? this.#makeRow(unit)]));
    this.#body.replaceChildren(...this.#rows.values());
    this.#showHere();
  }

  #showHere() {
    for (const [unit, row] of this.#rows) row.classList.toggle("is-here", unit === this.#view.unit);
  }

  /** @param {number} unit @param {string} column */
  #key(unit, column) {
    return `${this.#path}/${unit}/${column}`;
  }

  /** @param {number} unit */
  #makeRow(unit) {
    const cells = this.#table.columns.map((face) => {
      const { box } = this.#entries.add(face, this.#key(unit, face.key), { label: `${this.#title}, unit ${unit}, ${face.label}` });
      return element("td", { "data-label": capital(withUnit(face)) }, box);
    });
    const head = element("th", { scope: "row", class: "ws-number" }, element("span", { class: "ws-phone" }, "Unit "), String(unit));
    return element("tr", { "data-unit": String(unit) }, head, ...cells);
  }
}
