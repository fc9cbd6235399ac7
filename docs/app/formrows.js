// A list of things in the form of a calculation: a row of labelled fields for each, added and removed by buttons. The keys of a
// row hold its number, so a row that goes away moves those behind it up.

import { button, element } from "./element.js";
import { idOf } from "./entry.js";
import { News } from "./news.js";
import { capital, findIt } from "./words.js";

/**
 * @import { FormTexts } from "./calculation.js"
 * @import { Entries } from "./entries.js"
 * @import { Face, Group, RowsOf } from "./form.js"
 */

/** Once for all rows: what the fields of every row have to say. @param {Face[]} fields */
function helpOf(fields) {
  const helps = fields.filter(({ help }) => help)
    .map(({ label, help }) => `${capital(label)}: ${help.charAt(0).toLowerCase()}${help.slice(1)}`);
  const finds = new Set(fields.map(({ find }) => findIt(find)));
  return [...helps, ...finds].filter(Boolean).join(" ");
}

export class FormRows {
  #texts;
  #entries;
  #fields;
  #rows;
  #news;
  /** How many rows people want at least. */
  #wanted;
  #body = element("div", { class: "ws-rows" });
  #add;
  /** @type {{box: HTMLElement, keys: string[]}[]} */
  #drawn = [];
  box;

  /**
   * @param {FormTexts} texts
   * @param {Entries} entries
   * @param {Group} group
   * @param {RowsOf} rows
   */
  constructor(texts, entries, { title, fields }, rows) {
    this.#texts = texts;
    this.#entries = entries;
    this.#fields = fields;
    this.#rows = rows;
    this.#news = new News(texts);
    this.#wanted = rows.start;
    this.#add = button(`Add a ${rows.one}`, () => this.#more(), { "data-add": rows.key });
    const help = helpOf(fields);
    const helps = element("p", { class: "ws-help", id: `help-${texts.prefix}${rows.key}` }, help);
    this.box = element("fieldset", { class: "ws-group ws-list", "aria-describedby": help ? helps.id : undefined },
      element("legend", {}, title), ...(help ? [helps] : []), this.#body, this.#add, this.#news.box);
    texts.addEventListener("replaced", () => {
      if (this.#typedRows() === 0) this.#wanted = rows.start;
      this.#adapt();
    });
    this.#adapt();
  }

  /** The name of a row for people. @param {number} at */
  #named(at) {
    return `${capital(this.#rows.one)} ${at + 1}`;
  }

  /** The number of a row that a text belongs to; -1 for any other text. @param {string} key */
  #rowOf(key) {
    const [list, at, name] = key.split("/");
    return list === this.#rows.key && name !== undefined ? Number(at) : -1;
  }

  #typedRows() {
    return Math.max(...Object.keys(this.#texts.texts).map((key) => this.#rowOf(key)), -1) + 1;
  }

  #more() {
    this.#wanted = this.#drawn.length + 1;
    this.#adapt();
    this.#focus(this.#drawn.length - 1);
  }

  /** @param {number} at */
  #focus(at) {
    this.#entries.at(this.#drawn[at].keys[0])?.control.focus();
  }

  /** @param {number} at */
  #remove(at) {
    const { texts } = this.#texts;
    const went = Object.keys(texts).some((key) => this.#rowOf(key) === at);
    this.#wanted = this.#drawn.length - 1;
    this.#texts.replace(Object.fromEntries(Object.entries(texts).filter(([key]) => this.#rowOf(key) !== at).map(([key, text]) => {
      const row = this.#rowOf(key);
      return [row > at ? key.replace(`/${row}/`, `/${row - 1}/`) : key, text];
    })));
    this.#focus(Math.min(at, this.#drawn.length - 1));
    this.#news.say(`${this.#named(at)} is removed.`, { undo: went });
  }

  #adapt() {
    const { most } = this.#rows;
    const count = Math.min(Math.max(this.#wanted, this.#typedRows(), 1), most);
    for (const { box, keys } of this.#drawn.splice(count)) {
      box.remove();
      for (const key of keys) this.#entries.remove(key);
    }
    while (this.#drawn.length < count) {
      const row = this.#draw(this.#drawn.length);
      this.#drawn.push(row);
      this.#body.append(row.box);
    }
    this.#body.classList.toggle("is-single", count === 1);
    this.#add.hidden = count >= most;
  }

  /** @param {number} at */
  #draw(at) {
    const named = this.#named(at);
    /** @type {string[]} */
    const keys = [];
    const cells = this.#fields.map((face) => {
      const key = `${this.#texts.prefix}${this.#rows.key}/${at}/${face.key}`;
      keys.push(key);
      // One row is needed, where any is; another may stay empty.
      const needed = face.required && this.#rows.required && at === 0;
      const entry = this.#entries.add(face, key, { label: `${named}, ${face.label}`, empty: needed ? "Needed." : "" });
      return element("div", { class: "ws-cell", "data-kind": face.kind },
        element("label", { for: idOf(key) }, capital(face.label)), entry.box);
    });
    const remove = button("Remove", () => this.#remove(at), { "aria-label": `Remove ${named}`, class: "ws-button ws-remove" });
    const box = element("fieldset", { class: "ws-row" }, element("legend", {}, named),
      element("div", { class: "ws-cells" }, ...cells, remove));
    return { box, keys };
  }
}
