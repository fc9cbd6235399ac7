// Past checks to a trend: jobs that this browser keeps, the open one, and past job files. Python judges one check after the
// other, so that typing is never held up, and tells once what it needs of each; then it tells the trend of all that take part.
// Files stay in memory as long as the page lives, unless the person keeps them.

import { button, element } from "./element.js";
import { FormTexts } from "./calculation.js";
import { chosen, dropped } from "./dropped.js";
import { Entries } from "./entries.js";
import { textOf } from "./files.js";
import { trend } from "./form.js";
import { Place } from "./place.js";
import { drawGroup } from "./sections.js";
import { named, newJob, titleOf } from "./store/jobs.js";
import history from "../generated/demo-history.json";

/**
 * @import { Brought } from "./dropped.js"
 * @import { Reply } from "./entry.js"
 * @import { Paper } from "./files.js"
 * @import { Sheet, Texts } from "./sheet.js"
 * @import { Jobs, ReadJob } from "./store/jobs.js"
 * @import { Keeper } from "./store/keeper.js"
 * @typedef {{check?: unknown, words?: string, reason?: string, other?: boolean}} Told what Python says of a past check
 * @typedef {{id: string, name: string, isPreferred: boolean, question: Record<string, unknown>, told?: Told}} Past
 * @typedef {{fields: Record<string, Reply>, said: string, html: string}} Answer
 * @typedef {(question: Record<string, unknown>) => Promise<Record<string, any>>} Call
 * @typedef {(subject: string, question: Record<string, unknown>) => Promise<any>} Ask
 */

/** No row of fields that are filled in together: each is told as soon as it is left. */
const PREFIX = "trend.";
const OPEN = "open";
const STORE = "spillmark-trend";
/** Jobs whose fields are remembered. */
const MOST_REMEMBERED = 30;
/** Milliseconds without a change before a screen reader is told the result. */
const SETTLED = 1000;
/** Milliseconds that this waits after something is typed in the form. */
const AFTER_TYPING = 300;

/** @param {Record<string, unknown>} kept @returns {Texts} what of it is text */
function textsIn(kept) {
  return /** @type {Texts} */ (Object.fromEntries(Object.entries(kept).filter(([, text]) => typeof text === "string")));
}

/** What is typed into the panel: kept in this browser for each job, for port calls are long. It goes into no job file. @param {Sheet} sheet */
function textsOfPanel(sheet) {
  /** What this page has read or written, by job. @type {Map<string, Texts>} */
  const known = new Map();
  /** @returns {[string, Texts][]} */
  const remembered = () => {
    try {
      const kept = JSON.parse(localStorage.getItem(STORE) ?? "[]");
      return Array.isArray(kept) ? kept.filter((each) => Array.isArray(each) && typeof each[1] === "object" && each[1] !== null) : [];
    } catch {
      return [];
    }
  };
  const texts = new FormTexts(PREFIX, {
    read() {
      const { job } = sheet.content;
      const typed = known.get(job) ?? textsIn(remembered().find(([each]) => each === job)?.[1] ?? {});
      known.set(job, typed);
      return typed;
    },
    write(typed) {
      const { job } = sheet.content;
      known.set(job, typed);
      try {
        const others = remembered().filter(([each]) => each !== job);
        localStorage.setItem(STORE, JSON.stringify([[job, typed], ...others].slice(0, MOST_REMEMBERED)));
      } catch {
        // Full, or switched off: then it lives as long as the page.
      }
    },
  });
  sheet.addEventListener("replaced", () => texts.dispatchEvent(new Event("replaced")));
  return texts;
}

/** What tells one engine from another before Python has seen them. @param {Texts} texts */
function engineOf(texts) {
  const vessel = (texts.vessel ?? "").trim().replace(/\s+/g, " ").toLowerCase();
  return vessel && [vessel, (texts["engine.units"] ?? "").trim(), (texts["reference.rotation"] ?? "").trim().toLowerCase() || "ahead"].join("\n");
}

/** One line of the list. */
class Line {
  #words = element("span", { class: "ws-quiet" });
  #name = element("strong");
  box;
  input = element("input", { type: "checkbox", autocomplete: "off" });

  /** @param {(takesPart: boolean) => void} choose */
  constructor(choose) {
    this.box = element("li", {}, element("label", { class: "ws-take" }, this.input, element("span", {}, this.#name, " ", this.#words)));
    this.input.addEventListener("change", () => choose(this.input.checked));
  }

  /** @param {Past} past @param {boolean} takesPart */
  show({ name, told }, takesPart) {
    this.#name.textContent = name;
    this.input.checked = takesPart;
    this.#words.textContent = told?.reason ? `Takes no part. ${told.reason}` : told?.words ?? "";
    this.#words.classList.toggle("is-error", Boolean(told?.reason) && takesPart);
  }
}

export class Trend {
  #sheet;
  #jobs;
  #keeper;
  #call;
  #ask;
  #say;
  #asked;
  #entries;
  /** @type {Past[]} files that the person has opened in this visit, in order */
  #files = [];
  /** @type {Past[]} everything in the list */
  #pasts = [];
  /** Kept jobs as they were read, by job, with the revision that was read. @type {Map<string, {revision: number, past: Past, texts: Texts}>} */
  #kept = new Map();
  /** @type {Past | undefined} */
  #open;
  /** What the person has chosen or taken out, by job and check. @type {Map<string, Map<string, boolean>>} */
  #choices = new Map();
  /** @type {Map<string, Line>} */
  #lines = new Map();
  #round = 0;
  #isStale = true;
  /** @type {number | undefined} */
  #waiting;
  /** @type {number | undefined} */
  #settling;
  #list = element("ul", { class: "ws-pasts" });
  #count = element("p", { class: "ws-quiet" });
  #answer = new Place(element("div", { class: "ws-tried" }));
  #said = element("div", { class: "ws-hidden", role: "status", "aria-live": "polite" });
  #demo;
  #away;
  #keep;
  #paper;
  #details;
  box;

  /**
   * @param {Sheet} sheet
   * @param {Jobs} jobs
   * @param {Keeper} keeper
   * @param {{call: Call, ask: Ask, save: (paper: Paper) => void, say: (words: string) => void}} page
   */
  constructor(sheet, jobs, keeper, { call, ask, save, say }) {
    this.#sheet = sheet;
    this.#jobs = jobs;
    this.#keeper = keeper;
    this.#call = call;
    this.#ask = ask;
    this.#say = say;
    this.#asked = textsOfPanel(sheet);
    this.#entries = new Entries(this.#asked, PREFIX);
    this.#demo = button("Open the demo's past checks", () => this.#add(history.map(({ name, text }) => ({ name, text }))), { id: "trend-demo" });
    this.#away = button("Take the opened files away", () => this.#takeAway(), { id: "trend-away" });
    this.#keep = button("Keep the opened files as jobs in this browser", () => this.#keepFiles(), { id: "trend-keep" });
    this.#paper = button("Trend on paper", () => save(this.#onPaper()), { id: "trend-paper" });
    this.#details = element("details", { class: "ws-calculation ws-trend", id: "trend" },
      element("summary", {}, "Trend of past checks"),
      element("p", { class: "ws-quiet" }, trend.say, " ", element("a", { href: "trend.html" }, "How the trend is computed")),
      element("div", { class: "ws-bar", role: "group", "aria-label": "Past checks" },
        this.#chooser("trend-files", "Open past job files", {}),
        this.#chooser("trend-folder", "Open a folder of them", { webkitdirectory: true }),
        this.#demo),
      element("fieldset", { class: "ws-group" }, element("legend", {}, "Checks that take part"),
        element("div", { class: "ws-bar" },
          button("All of them", () => this.#chooseAll(true), { id: "trend-all" }),
          button("None", () => this.#chooseAll(false), { id: "trend-none" })),
        this.#list, this.#count, element("div", { class: "ws-bar" }, this.#keep, this.#away)),
      drawGroup(this.#entries, { title: "The next check", fields: trend.fields.map((face) => ({ ...face, key: `${PREFIX}${face.key}` })) }),
      this.#answer.box, element("div", { class: "ws-bar" }, this.#paper), this.#said);
    this.box = element("section", { class: "ws-section ws-calculations", "aria-labelledby": "title-trend" },
      element("h3", { id: "title-trend" }, "Trend and next date"), this.#details);
    this.#acceptDrops(this.#details);
    this.#asked.addEventListener("typed", () => this.#tell());
    sheet.addEventListener("typed", () => this.refresh());
    sheet.addEventListener("replaced", () => this.refresh());
    keeper.addEventListener("changed", () => this.refresh());
    // Another step was open meanwhile.
    new IntersectionObserver(() => this.#isStale && this.#refresh()).observe(this.#details);
    this.#details.addEventListener("toggle", () => this.#refresh());
  }

  /** The form or the kept jobs have changed: look again once they rest. */
  refresh() {
    this.#isStale = true;
    clearTimeout(this.#waiting);
    this.#waiting = setTimeout(() => this.#refresh(), AFTER_TYPING);
  }

  /** @param {string} id @param {string} label @param {Record<string, boolean>} attributes */
  #chooser(id, label, attributes) {
    const input = element("input", { type: "file", id, class: "ws-hidden", multiple: true,
      ...(attributes.webkitdirectory ? {} : { accept: ".json,application/json" }), ...attributes });
    input.addEventListener("change", async () => {
      const brought = chosen(input.files);
      await this.#bring(brought);
      // So that the same files can be chosen again.
      input.value = "";
    });
    return element("span", { class: "ws-chooser" }, input, element("label", { class: "ws-button", for: id }, label));
  }

  /** Dropped here, files are past checks; anywhere else the first of them is opened as the job. @param {HTMLElement} area */
  #acceptDrops(area) {
    area.addEventListener("drop", async (event) => {
      const { dataTransfer } = event;
      if (!dataTransfer?.types.includes("Files") || !this.#details.open) return;
      event.preventDefault();
      event.stopPropagation();
      // The page around it marks what it would take, and does not hear of this drop.
      area.closest("#sheet")?.classList.remove("is-target");
      await this.#bring(await dropped(dataTransfer));
    });
  }

  /** @param {Brought[]} brought */
  async #bring(brought) {
    if (brought.length === 0) return this.#say("There is no job file (*.json) in what you chose. Choose the folder that holds them.");
    const files = [];
    for (const { name, file, fromFolder } of brought) {
      files.push(await textOf(file).then((text) => ({ name, text, fromFolder }), ({ message }) => ({ name, reason: String(message) })));
    }
    this.#add(files);
  }

  /** @param {{name: string, text?: string, reason?: string, fromFolder?: boolean}[]} files */
  #add(files) {
    for (const { name, text, reason, fromFolder } of files) {
      const id = `file ${name}\n${text ?? reason}`;
      if (this.#files.some((file) => file.id === id)) continue;
      this.#files.push({ id, name, isPreferred: true, question: { do: "past", name, text, fromFolder }, told: reason ? { reason } : undefined });
    }
    this.#details.open = true;
    this.#refresh();
  }

  #takeAway() {
    this.#files = [];
    this.#refresh();
  }

  /** Each opened file becomes a job of this browser, as if it had been opened by itself. */
  async #keepFiles() {
    let kept = 0;
    for (const file of [...this.#files]) {
      if (typeof file.question.text !== "string") continue;
      /** @type {Record<string, any>} */
      const answer = await this.#call({ do: "open_file", text: file.question.text }).catch(({ message }) => ({ errors: [message] }));
      if (answer.errors) continue;
      const { base } = answer;
      const filled = Object.fromEntries(Object.entries(/** @type {Texts} */ (answer.texts)).filter(([, text]) => text !== ""));
      await this.#jobs.write({ job: newJob(), texts: filled, base, opened: Object.keys(filled), beside: {} }, 1, true, 0);
      this.#files.splice(this.#files.indexOf(file), 1);
      kept++;
    }
    this.#say(`${kept} ${kept === 1 ? "file is a job" : "files are jobs"} in this browser now.${this.#files.length ? " The others cannot be kept: see the list." : ""}`);
    this.#keeper.dispatchEvent(new Event("changed"));
  }

  get #chosenHere() {
    const { job } = this.#sheet.content;
    const choices = this.#choices.get(job) ?? new Map();
    this.#choices.set(job, choices);
    return choices;
  }

  /** @param {Past} past */
  #takesPart(past) {
    return this.#chosenHere.get(past.id) ?? past.isPreferred;
  }

  /** @param {boolean} takesPart */
  #chooseAll(takesPart) {
    for (const { id } of this.#pasts) this.#chosenHere.set(id, takesPart);
    this.#judge();
  }

  /** Look what there is, then judge it. */
  async #refresh() {
    // What nobody has open is not asked for: it would hold up the findings.
    if (!this.#details.open || !this.#details.checkVisibility()) return;
    this.#isStale = false;
    const round = ++this.#round;
    const stored = await this.#readKept().catch(() => []);
    if (round !== this.#round) return;
    this.#pasts = [...this.#openJob(), ...stored, ...this.#files];
    this.#demo.hidden = !this.#sheet.isDemo;
    this.#away.hidden = this.#keep.hidden = this.#files.length === 0;
    await this.#judge();
  }

  /** The job on the sheet, as it is typed. @returns {Past[]} */
  #openJob() {
    const { texts, base, isBlank } = this.#sheet;
    if (isBlank) return [];
    const typed = JSON.stringify(texts);
    const name = `${named(titleOf(texts))} (open here)`;
    if (this.#open?.question.typed !== typed) {
      this.#open = { id: OPEN, name, isPreferred: true, question: { do: "past", name, texts: { ...texts }, base, typed } };
    }
    return [/** @type {Past} */ (this.#open)];
  }

  /** The other kept jobs; those of this engine take part unless they are taken out. @returns {Promise<Past[]>} */
  async #readKept() {
    const here = engineOf(this.#sheet.texts);
    const found = [];
    for (const entry of await this.#jobs.list()) {
      if (entry.deleted !== undefined || entry.job === this.#keeper.job) continue;
      let kept = this.#kept.get(entry.job);
      if (kept?.revision !== entry.revision) {
        const name = named(entry.title);
        const read = await this.#jobs.read(entry.job).catch((trouble) => /** @type {Error} */ (trouble));
        const past = { id: `job ${entry.job}`, name, isPreferred: false };
        kept = read instanceof Error
          ? { revision: entry.revision, texts: {}, past: { ...past, question: {}, told: { reason: read.message } } }
          : { revision: entry.revision, texts: read.texts, past: { ...past, question: { do: "past", name, texts: read.texts, base: read.base } } };
        this.#kept.set(entry.job, kept);
      }
      kept.past.isPreferred = here !== "" && engineOf(kept.texts) === here;
      found.push(kept.past);
    }
    return found;
  }

  /** Judge what takes part and is not judged yet, one after the other, then tell the trend. */
  async #judge() {
    const round = ++this.#round;
    this.#draw();
    const open = this.#pasts.filter((past) => !past.told && this.#takesPart(past));
    for (const [at, past] of open.entries()) {
      this.#count.textContent = `Reads check ${at + 1} of ${open.length}.`;
      const { typed, fromFolder, ...question } = past.question;
      past.told = await this.#call(question).catch(({ message }) => ({ reason: String(message) }));
      if (past.told?.other && fromFolder) this.#files = this.#files.filter((file) => file !== past);
      if (round !== this.#round) return;
      this.#lines.get(past.id)?.show(past, true);
    }
    this.#pasts = this.#pasts.filter((past) => !(past.told?.other && past.question.fromFolder));
    this.#draw();
    await this.#tell();
  }

  get #taken() {
    return this.#pasts.filter((past) => past.told && this.#takesPart(past));
  }

  get #question() {
    const typed = this.#asked.texts;
    return { checks: this.#taken.flatMap(({ told }) => (told?.check ? [told.check] : [])), typed };
  }

  /** @returns {Paper} */
  #onPaper() {
    const left_out = Object.fromEntries(this.#taken.flatMap(({ name, told }) => (told?.reason ? [[name, told.reason]] : [])));
    return { do: "trend_paper", ...this.#question, left_out };
  }

  async #tell() {
    if (!this.#details.open) return;
    const question = this.#question;
    /** @type {Answer | null} */
    const answer = await this.#ask("trend", { do: "trend", ...question }).catch((trouble) =>
      ({ fields: {}, said: "", html: element("p", {}, trouble.message).outerHTML }));
    if (!answer) return;
    this.#entries.answer(Object.fromEntries(Object.entries(answer.fields).map(([key, reply]) => [`${PREFIX}${key}`, reply])));
    this.#answer.put(answer.html);
    this.#paper.hidden = question.checks.length === 0;
    clearTimeout(this.#settling);
    this.#settling = setTimeout(() => {
      if (this.#said.textContent !== answer.said) this.#said.textContent = answer.said;
    }, SETTLED);
  }

  /** The list; lines that stay are left alone, for somebody may be about to tick one. */
  #draw() {
    const before = this.#lines;
    this.#lines = new Map(this.#pasts.map((past) => [past.id, before.get(past.id) ?? new Line((takesPart) => {
      this.#chosenHere.set(past.id, takesPart);
      this.#judge();
    })]));
    for (const past of this.#pasts) this.#lines.get(past.id)?.show(past, this.#takesPart(past));
    const boxes = [...this.#lines.values()].map(({ box }) => box);
    if (boxes.length !== this.#list.children.length || boxes.some((box, at) => this.#list.children[at] !== box)) this.#list.replaceChildren(...boxes);
    const taken = this.#taken;
    const without = taken.filter(({ told }) => told?.reason).length;
    this.#count.textContent = this.#pasts.length === 0
      ? "There is no check yet. Open past job files, or a folder of them."
      : `${taken.length - without} of ${this.#pasts.length} take part.${without ? ` ${without} cannot: the list says why.` : ""}`;
  }
}
