// Tables of the form as rows of labelled fields: what is moved, what was seen, what was turned. A row is drawn for each
// thing that this engine has, and for any other that something is typed for.

import { fits } from "./arrangement.js";
import { button, element } from "./element.js";
import { Picker } from "./picker.js";
import { Signed } from "./signed.js";
import { concerns, unitsOf } from "./units.js";
import { explain, noRows } from "./columns.js";
import { capital } from "./words.js";

/**
 * @import { Named, Table } from "./form.js"
 * @import { Entries } from "./entries.js"
 * @import { Sheet } from "./sheet.js"
 * @import { Signing } from "./signing.js"
 * @import { View } from "./view.js"
 */
/** @typedef {{path: string, label: string, note: string, needs: string, unit: number | undefined, names: string[]}} Wanted */

/** Rows that people add are named own-1, own-2 … */
const OWN = "own";

/** One row: its name, and its fields side by side. */
class Row {
  #sheet;
  #table;
  #wanted;
  #drawn;
  /** @type {{key: string, at: HTMLElement, label: string}[]} */
  #besides = [];
  #legend = element("legend");
  box;

  /**
   * @param {Sheet} sheet
   * @param {Entries} entries
   * @param {Signing} signing
   * @param {Table} table
   * @param {Wanted} wanted
   */
  constructor(sheet, entries, signing, table, wanted) {
    this.#sheet = sheet;
    this.#table = table;
    this.#wanted = wanted;
    const { columns } = table;
    const faces = columns.filter(({ only }) => only.length === 0 || only.some((name) => wanted.names.includes(name)));
    const drawn = new Signed(sheet, entries, signing, { faces, settles: table.settles, path: wanted.path, label: wanted.label, verb: "Sign" });
    this.#drawn = drawn;
    for (const { beside } of columns) {
      if (!beside) continue;
      this.#besides.push({ key: `${wanted.path}/${beside}`, at: element("p", { class: "ws-beside" }), label: capital(beside.replaceAll("_", " ")) });
    }
    this.box = element("fieldset", { class: "ws-row", "data-row": wanted.path }, this.#legend,
      ...(wanted.note ? [element("p", { class: "ws-help" }, wanted.note)] : []),
      ...this.#besides.map(({ at }) => at), element("div", { class: "ws-cells" }, ...drawn.usual, ...drawn.buttons), drawn.foot);
    this.adapt();
  }

  /** @param {Entries} entries */
  remove(entries) {
    for (const key of this.#drawn.keys) entries.remove(key);
    this.box.remove();
  }

  get unit() {
    return this.#wanted.unit;
  }

  adapt() {
    const { path, label } = this.#wanted;
    // What people have added is called as they call it.
    const called = this.#table.names && this.#sheet.text(`${path}/${this.#table.names}`).trim();
    this.#legend.textContent = capital(called || label);
    for (const { key, at, label: shown } of this.#besides) {
      const text = this.#sheet.text(key);
      at.textContent = text ? `${shown}: ${text}` : "";
      at.hidden = text === "";
    }
    this.#drawn.adapt();
  }
}

export class Rows {
  #sheet;
  #entries;
  #signing;
  #table;
  #view;
  #picker;
  #body = element("div", { class: "ws-rows" });
  #none = noRows();
  /** @type {Map<string, Row>} */
  #rows = new Map();
  /** Rows that people have asked for and not filled yet. @type {string[]} */
  #added = [];
  box;

  /**
   * @param {Sheet} sheet
   * @param {Entries} entries
   * @param {Signing} signing
   * @param {View} view
   * @param {Table} table
   */
  constructor(sheet, entries, signing, view, table) {
    this.#sheet = sheet;
    this.#entries = entries;
    this.#signing = signing;
    this.#table = table;
    this.#view = view;
    this.#picker = this.#byUnit ? new Picker(view, { always: true, of: table.title }) : undefined;
    const add = this.#isOpen
      ? [button("Add something that is moved", () => this.#add(), { "data-add": table.key })]
      : [];
    this.box = element("div", { class: "ws-rowsbox", "data-table": table.key },
      element("h3", {}, table.title), this.#none, ...(this.#picker ? [this.#picker.box] : []), this.#body, ...add,
      // How to type a whole table is not to be guessed.
      ...(table.columns.some(({ kind }) => kind === "table") ? [explain(table.columns)] : []));
    this.box.addEventListener("reveal", (event) => {
      const unit = this.#rows.get(/** @type {CustomEvent<string>} */ (event).detail.replace(/\/[^/]*$/, ""))?.unit;
      if (unit !== undefined) view.move({ unit });
    });
    const adapt = () => this.#adapt();
    sheet.onTyped((key) => concerns(key, table.key), adapt);
    sheet.addEventListener("replaced", () => {
      this.#added = [];
      view.draw(this.box, adapt);
    });
    view.addEventListener("moved", () => this.#showHere());
    adapt();
  }

  get #byUnit() {
    return this.#table.axes.some(({ kind }) => kind === "unit");
  }

  /** Whether people can add rows: where the list is one of things, and the step is the one that fills it. */
  get #isOpen() {
    return this.#table.columns.some(({ key }) => key === this.#table.names);
  }

  #add() {
    const taken = Object.keys(this.#sheet.texts).map((key) => Number(/^[^/]+\/own-(\d+)\//.exec(key)?.[1] ?? 0));
    const asked = this.#added.map((path) => Number(path.split(`${OWN}-`)[1]));
    const path = `${this.#table.key}/${OWN}-${Math.max(0, ...taken, ...asked) + 1}`;
    this.#added.push(path);
    this.#adapt();
    this.#entries.at(`${path}/${this.#table.names}`)?.control.focus();
  }

  /** Every row that is to be there, in order. @returns {Wanted[]} */
  #wanted() {
    const { key, axes } = this.#table;
    /** @type {Wanted[]} */
    let rows = [{ path: key, label: "", note: "", needs: "", unit: undefined, names: [] }];
    for (const axis of axes) {
      /** @type {Named[]} */
      const values = axis.kind === "unit"
        ? unitsOf(this.#sheet.texts).map((unit) => ({ value: String(unit), label: `unit ${unit}` }))
        : axis.values;
      rows = rows.flatMap((row) => values.map((each) => ({
        path: `${row.path}/${each.value}`,
        label: [row.label, each.label].filter(Boolean).join(", "),
        note: each.note ?? "",
        needs: each.needs ?? "",
        unit: axis.kind === "unit" ? Number(each.value) : row.unit,
        names: [...row.names, each.value],
      })));
    }
    const known = rows.filter(({ path, needs }) => fits(this.#sheet, needs) || this.#sheet.holds(path) || this.#isBusy(path));
    const listed = new Set(rows.map(({ path }) => path));
    const own = [...new Set([...this.#ownPaths(), ...this.#added])].filter((path) => !listed.has(path));
    return [...known, ...own.map((path) => ({ path, label: "of your own", note: "", needs: "", unit: undefined, names: [OWN] }))];
  }

  /** A row is not taken away from under the hands that have just emptied it. @param {string} path */
  #isBusy(path) {
    return this.#rows.get(path)?.box.contains(document.activeElement) === true;
  }

  /** What does not apply is out of the way in later steps. @param {string} path */
  #isShown(path) {
    return this.#isOpen || this.#table.settles === "" || this.#sheet.text(`${path}/${this.#table.settles}`).trim() === "";
  }

  #ownPaths() {
    const { key, names } = this.#table;
    if (!names) return [];
    const held = Object.keys(this.#sheet.texts).filter((each) => each.startsWith(`${key}/`) && each.split("/").length === 3)
      .map((each) => each.slice(0, each.lastIndexOf("/")));
    return [...held, ...[...this.#rows.keys()].filter((path) => this.#isBusy(path))];
  }

  #adapt() {
    const wanted = this.#wanted();
    this.#none.hidden = wanted.length > 0 || !this.#byUnit;
    if (this.#picker) {
      this.#picker.offer([...new Set(wanted.map(({ unit }) => unit ?? 0))]);
      this.#picker.box.hidden = wanted.length === 0;
    }
    const paths = wanted.map(({ path }) => path);
    if (paths.join() !== [...this.#rows.keys()].join()) {
      for (const [path, row] of this.#rows) if (!paths.includes(path)) row.remove(this.#entries);
      const before = this.#rows;
      this.#rows = new Map(wanted.map((each) =>
        [each.path, before.get(each.path) ?? new Row(this.#sheet, this.#entries, this.#signing, this.#table, each)]));
      // A row that stays is not moved, or the focus in it would be lost.
      let last = /** @type {Element | null} */ (null);
      for (const { box } of this.#rows.values()) {
        const next = last ? last.nextElementSibling : this.#body.firstElementChild;
        if (box !== next) this.#body.insertBefore(box, next);
        last = box;
      }
    }
    for (const row of this.#rows.values()) row.adapt();
    this.#showHere();
  }

  /** Rows of units are shown for one unit at a time. */
  #showHere() {
    const units = [...this.#rows.values()].map(({ unit }) => unit);
    const here = units.includes(this.#view.unit) ? this.#view.unit : units[0];
    for (const [path, { box, unit }] of this.#rows) box.hidden = this.#byUnit ? unit !== here : !this.#isShown(path);
  }
}
