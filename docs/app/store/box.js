// The jobs on this computer, as a list with all that can be done to each; and above it what there is to say about keeping.

import { button, element } from "../element.js";
import { capital } from "../words.js";
import { named } from "./jobs.js";
import { progressWords } from "./progress.js";

/**
 * @import { Jobs, StoredEntry } from "./jobs.js"
 * @import { Keeper } from "./keeper.js"
 */

const DATE = new Intl.DateTimeFormat("en-GB", { dateStyle: "medium", timeStyle: "short" });

/** @param {string} label @param {() => void} perform */
function act(label, perform) {
  return button(label, perform, { "data-act": label });
}

/** What can be done, as a screen reader says it before the job's name. @type {Record<string, string>} */
const SPOKEN = { Open: "Open", Rename: "Rename", Copy: "Copy", Delete: "Delete", Undo: "Undo: bring back" };

/** One job of the list. */
class Row {
  #keeper;
  /** What can be done, as it was drawn last. */
  #offered = "";
  #what = element("div", { class: "ws-what" });
  #acts = element("div", { class: "ws-acts" });
  /** @type {StoredEntry} */
  #entry;
  box;

  /** @param {Keeper} keeper @param {StoredEntry} entry */
  constructor(keeper, entry) {
    this.#keeper = keeper;
    this.#entry = entry;
    this.box = element("li", { "data-job": entry.job }, this.#what, this.#acts);
  }

  /** @param {StoredEntry} entry */
  show(entry) {
    this.#entry = entry;
    const isHere = entry.job === this.#keeper.job;
    const { title, changed, progress, deleted } = entry;
    const date = changed
      ? element("time", { datetime: new Date(changed).toISOString() }, DATE.format(changed))
      : "at a time that is not known";
    this.#what.replaceChildren(element("strong", {}, named(title)),
      element("span", { class: "ws-quiet" }, isHere ? "On this sheet. " : "", "Last change ", date, ". ", `${capital(progressWords(progress))}.`));
    if (isHere) this.box.setAttribute("aria-current", "true");
    else this.box.removeAttribute("aria-current");
    if (!this.#acts.querySelector("input")) this.#offer(deleted !== undefined, isHere);
  }

  /** Buttons that stay are left alone: somebody may be about to press one. @param {boolean} isDeleted @param {boolean} isHere */
  #offer(isDeleted, isHere) {
    const { job, title } = this.#entry;
    const offered = `${isDeleted} ${isHere}`;
    if (offered !== this.#offered) {
      this.#offered = offered;
      const focus = this.#focusedAct();
      this.#acts.replaceChildren(...(isDeleted
        ? [element("span", {}, "Deleted. It is kept until your next visit."), act("Undo", () => this.#keeper.bringBack(job))]
        : [
            ...(isHere ? [] : [act("Open", () => this.#keeper.open(job))]),
            act("Rename", () => this.#askForTitle()),
            act("Copy", () => this.#keeper.copy(job)),
            act("Delete", () => this.#keeper.remove(job)),
          ]));
      this.#focus(focus);
    }
    for (const each of this.#acts.querySelectorAll("button")) {
      each.setAttribute("aria-label", `${SPOKEN[each.dataset.act ?? ""]} ${named(title)}`);
    }
  }

  #askForTitle() {
    const { job, title } = this.#entry;
    const id = `title-of-${job}`;
    const input = element("input", { class: "ws-control", id, type: "text", autocomplete: "off" });
    input.value = title;
    const close = () => {
      this.#offered = "";
      input.remove();
      this.show(this.#entry);
      this.#focus("Rename");
    };
    const take = async () => {
      await this.#keeper.rename(job, input.value.trim());
      close();
    };
    input.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" && event.key !== "Escape") return;
      // The key must not press the button that gets the focus.
      event.preventDefault();
      if (event.key === "Enter") take();
      else close();
    });
    this.#acts.replaceChildren(element("label", { for: id }, "Title"), input, act("Rename", take), act("Leave as it was", close));
    input.focus();
    input.select();
  }

  /** The act that has the focus. */
  #focusedAct() {
    const focused = document.activeElement;
    return focused instanceof HTMLElement && this.#acts.contains(focused) ? (focused.dataset.act ?? "") : undefined;
  }

  /** Where an act is gone, the first one has taken its place. @param {string | undefined} label */
  #focus(label) {
    if (label === undefined) return;
    const acts = [...this.#acts.querySelectorAll("button")];
    (acts.find(({ dataset }) => dataset.act === label) ?? acts[0])?.focus();
  }
}

export class JobsBox {
  #jobs;
  #keeper;
  #title = element("summary", {}, "Jobs on this computer");
  #none = element("p", { class: "ws-quiet" }, "No job is kept yet. What you type is kept here by itself.");
  #list = element("ul", { class: "ws-joblist" });
  #words = element("p");
  #detail = element("p", { class: "ws-quiet" });
  #copy;
  /** @type {Map<string, Row>} */
  #rows = new Map();
  /** Counts the readings of the list: an older one that comes later has lost. */
  #reading = 0;
  /** What there is to say about keeping. */
  notice;
  box;

  /** @param {Jobs} jobs @param {Keeper} keeper */
  constructor(jobs, keeper) {
    this.#jobs = jobs;
    this.#keeper = keeper;
    this.#copy = button("Work on a copy", () => keeper.branch(), { id: "work-on-copy" });
    this.#copy.hidden = true;
    this.notice = element("div", { class: "ws-keeping" },
      element("div", { role: "status" }, this.#words, this.#detail), this.#copy);
    this.box = element("details", { class: "ws-jobs", id: "jobs" }, this.#title,
      element("p", { class: "ws-quiet" }, "Jobs are kept in this browser, on this computer only. Save a job file to take one elsewhere or to keep it safe."),
      this.#none, this.#list);
    const others = new BroadcastChannel("spillmark-jobs");
    others.addEventListener("message", () => this.#showList());
    keeper.addEventListener("changed", () => {
      this.#showNotice();
      this.#showList();
      others.postMessage("changed");
    });
    this.#showNotice();
  }

  #showNotice() {
    const { trouble, elsewhere, news, isSound } = this.#keeper;
    const text = trouble?.text ?? (elsewhere
      ? "This job is open in another tab. Close it there, and you go on here with all that was typed there. Or work on a copy. What you type here goes into a copy by itself."
      : news);
    if (this.#words.textContent !== text) this.#words.textContent = text;
    this.#detail.textContent = trouble?.detail ? `Reason: ${trouble.detail}` : "";
    this.#copy.hidden = !elsewhere;
    this.notice.classList.toggle("is-said", text !== "");
    this.box.dataset.kept = trouble ? "no" : isSound ? "yes" : "unknown";
  }

  async #showList() {
    const reading = ++this.#reading;
    const entries = await this.#jobs.list().catch(() => undefined);
    if (!entries || reading !== this.#reading) return;
    const there = entries.filter(({ deleted }) => deleted === undefined).length;
    this.#title.textContent = `Jobs on this computer: ${there}`;
    this.#none.hidden = entries.length > 0;
    const before = this.#rows;
    this.#rows = new Map(entries.map((entry) => [entry.job, before.get(entry.job) ?? new Row(this.#keeper, entry)]));
    for (const [job, row] of before) if (!this.#rows.has(job)) row.box.remove();
    // Whoever is in the list keeps its order until they leave it: moving a row would throw the focus out.
    const isBusy = this.#list.contains(document.activeElement);
    const wanted = [...this.#rows.values()].map(({ box }) => box);
    if (isBusy) this.#list.append(...wanted.filter((box) => !box.isConnected));
    else if (wanted.some((box, at) => box !== this.#list.children[at])) this.#list.replaceChildren(...wanted);
    for (const entry of entries) this.#rows.get(entry.job)?.show(entry);
  }
}
