// Job files: opened by the file chooser or dropped on the page, saved as a download. Python reads and writes them.

import { give } from "./download.js";
import { element } from "./element.js";

/**
 * @import { Python } from "./python/client.js"
 * @import { Base, Sheet, Texts } from "./sheet.js"
 * @typedef {{where: string, found: string, text: string}} FileError
 */

const KEPT = " What you typed is still here.";

/** Python refuses more than 1 MB and says so; this only spares the browser from reading a film. */
const MOST_BYTES = 20e6;

/** @param {File} file @returns {Promise<string>} */
export async function textOf(file) {
  if (file.size > MOST_BYTES) {
    throw new Error(`The file has ${(file.size / 1e6).toFixed(0)} MB. A job file has less than 1 MB. Check that it is the right file.`);
  }
  const bytes = await file.arrayBuffer().catch(() => {
    throw new Error("The browser cannot read this file. Check that it is a file and not a folder, then try again.");
  });
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    throw new Error("The file is not UTF-8 text. Check that it is a job file, or save it again as UTF-8.");
  }
}

/**
 * @typedef {{do: "record" | "handover" | "blank"} | {do: "plan_sheet", plan: unknown} |
 *   {do: "csv", findings?: boolean, table?: string} |
 *   {do: "trend_paper", checks: unknown[], typed: Record<string, string>, left_out: Record<string, string>}} Paper what Python
 *   makes of a job; the handover page and blank forms need no whole one, and the trend is of other jobs as well
 */

export class Files {
  #sheet;
  #python;
  #onDone;
  #news = element("div", { class: "ws-news" });
  /** The newest request to open something; an older one that answers later has lost. */
  #opening = 0;
  /** Whether a file is being opened, so that what is in the form will be replaced. */
  isOpening = false;

  /**
   * @param {Sheet} sheet
   * @param {Python} python
   * @param {(opened: boolean) => void} onDone told when a file has been opened or refused
   */
  constructor(sheet, python, onDone) {
    this.#sheet = sheet;
    this.#python = python;
    this.#onDone = onDone;
    const input = element("input", { type: "file", id: "open-job", accept: ".json,application/json", class: "ws-hidden" });
    input.addEventListener("change", () => {
      const [file] = input.files ?? [];
      if (file) this.#open(file);
      // So that the same file can be chosen again.
      input.value = "";
    });
    this.chooser = element("span", { class: "ws-chooser" }, input, element("label", { class: "ws-button", for: "open-job" }, "Open job file"));
    this.news = element("div", { role: "status" }, this.#news);
  }

  /** Files dropped anywhere on it are opened. @param {HTMLElement} area */
  acceptDrops(area) {
    /** @param {DragEvent} event */
    const hasFile = (event) => event.dataTransfer?.types.includes("Files");
    area.addEventListener("dragover", (event) => {
      if (!hasFile(event)) return;
      event.preventDefault();
      area.classList.add("is-target");
    });
    area.addEventListener("dragleave", (event) => {
      if (!(event.relatedTarget instanceof Node && area.contains(event.relatedTarget))) area.classList.remove("is-target");
    });
    area.addEventListener("drop", (event) => {
      area.classList.remove("is-target");
      if (!hasFile(event)) return;
      event.preventDefault();
      const [file] = event.dataTransfer?.files ?? [];
      if (file) this.#open(file);
    });
  }

  /** @param {File} file */
  async #open(file) {
    try {
      await this.openText(file.name, await textOf(file));
    } catch (trouble) {
      this.#refuse(`${file.name} was not opened.`, KEPT, [trouble instanceof Error ? trouble.message : String(trouble)]);
    }
  }

  /**
   * Put a job file's text into the form.
   * @param {string} name what to call it
   * @param {string} text
   */
  async openText(name, text) {
    const opening = ++this.#opening;
    this.isOpening = true;
    this.say(`${name} opens as soon as Python is ready.`);
    /** @type {Record<string, any>} */
    const answer = await this.#python.call({ do: "open_file", text }).catch(({ message }) => ({ errors: [{ text: message }] }));
    if (opening !== this.#opening) return;
    this.isOpening = false;
    if (answer.errors) {
      this.#onDone(false);
      return this.#refuse(`${name} was not opened.`, KEPT, answer.errors.map((/** @type {FileError} */ error) => error.text));
    }
    const filled = Object.entries(/** @type {Record<string, string>} */ (answer.texts)).filter(([, each]) => each !== "");
    this.#fill(name, { texts: Object.fromEntries(filled), base: answer.base });
  }

  /** Put a job into the form that is as Python would give it. @param {string} name @param {{texts: Texts, base: Base}} job */
  show(name, job) {
    this.#opening++;
    this.isOpening = false;
    this.#fill(name, job);
  }

  /** @param {string} name @param {{texts: Texts, base: Base}} job */
  #fill(name, { texts, base }) {
    this.#sheet.replace(texts, base);
    this.say(`${name} is open.`, { undo: true });
    this.#onDone(true);
  }

  clear() {
    this.#opening++;
    this.isOpening = false;
    this.#sheet.replace({}, {});
    this.say("This is a new blank form.", { undo: true });
  }

  async save() {
    const texts = { ...this.#sheet.texts };
    this.say("The job file is saved as soon as Python is ready.");
    const { text, name } = await this.#python.call({ do: "save", texts, base: this.#sheet.base }).catch(() => this.#saveAlone());
    give(text, name, "application/json");
    this.#sheet.saved(texts);
    this.say(`${name} is saved where this browser keeps its downloads.`);
  }

  /** Save what goes on paper or into a spreadsheet; a job with gaps gives no record and no table. @param {Paper} paper */
  async savePaper(paper) {
    this.say("It is made as soon as Python is ready.");
    const { texts, base } = this.#sheet;
    /** @type {Record<string, any>} */
    const answer = await this.#python.call({ ...paper, texts, base }).catch(({ message }) => ({ errors: [{ text: message }] }));
    if (answer.errors) {
      const reasons = answer.errors.map((/** @type {FileError} */ error) => error.text);
      return this.#refuse("This needs a whole job.", " Nothing was saved. What is still to mend:", reasons);
    }
    give(answer.text, answer.name, paper.do === "csv" ? "text/csv" : "text/html");
    this.say(`${answer.name} is saved where this browser keeps its downloads.${paper.do === "csv" ? "" : " Open it and print it."}`);
  }

  /** Without Python, what was typed goes into the file as it is; opening it again understands it then. */
  #saveAlone() {
    const { base, textsWithGaps } = this.#sheet;
    // What was taken out still stands in the base; only a blank draft keeps it from coming back.
    const tree = { ...base, format: "spillmark-job", version: 1, drafts: textsWithGaps };
    return { text: `${JSON.stringify(tree, null, 2)}\n`, name: "job.json" };
  }

  /** @param {string} words @param {{undo?: boolean}} [options] */
  say(words, { undo = false } = {}) {
    this.#news.className = "ws-news";
    this.#news.replaceChildren(words);
    if (undo && this.#sheet.canUndo) {
      const back = element("button", { type: "button", class: "ws-button", id: "undo" }, "Undo");
      back.addEventListener("click", () => {
        this.#sheet.undo();
        this.say("What was there before is back.", { undo: true });
      });
      this.#news.append(" ", back);
    }
  }

  /** @param {string} what @param {string} then @param {string[]} reasons */
  #refuse(what, then, reasons) {
    this.say("");
    this.#news.className = "ws-news is-error";
    this.#news.replaceChildren(
      element("p", {}, element("strong", {}, what), then),
      element("ul", {}, ...reasons.map((reason) => element("li", {}, reason))));
  }
}
