// The turning plan: its choices, the search with its progress and a stop button, and the plan with a box to tick at each stop.
// Python searches for a moment each time it is asked, so whatever else it is asked has its turn in between; to stop is to ask
// no more. Choices, plan and ticks are kept with the job in this browser, so that a blackout does not take them. They belong
// in no job file: a plan is made for one turning of one engine, and the file's format is shared with other programs.

import { button, element } from "./element.js";
import { Entries } from "./entries.js";
import { plan as described } from "./form.js";
import { UnitGrid } from "./grid.js";
import { Place } from "./place.js";
import { drawGroup } from "./sections.js";
import { todo } from "./todo.js";
import { UNITS } from "./units.js";

/**
 * @import { Reply } from "./entry.js"
 * @import { Sheet, Texts } from "./sheet.js"
 * @import { Item } from "./todo.js"
 * @import { View } from "./view.js"
 * @typedef {{stops: unknown[]}} Plain a plan as plain values; only Python looks into it
 * @typedef {{plan: Plain, typed: Texts, mark: string, ticks: number}} Made a plan, the choices that it was made for and their
 *   name, and how many of its stops are done
 * @typedef {{typed: Texts, made?: Made, before?: Made}} Kept
 * @typedef {{fields: Record<string, Reply>, missing: {name: string, text: string}[], needs: Item[], mark: string | null}} Look
 * @typedef {{number: number, dropped: boolean, ended: boolean, share: number, line: string, standing: string,
 *   plan: Plain | null, html?: {words: string, way?: string}}} Progress
 * @typedef {{do: "plan_look" | "plan", typed: Texts} | {do: "plan_shown", plan: Plain}
 *   | {do: "plan_rest", typed: Texts, plan: Plain, stops: number}} Question
 * @typedef {{ask: (question: Question) => Promise<any>, goOn: (number: number) => Promise<any>, print: (plan: Plain) => void}} Doing
 */

const PREFIX = "plan.";
const NAME = "plan";
/** Milliseconds without a key after which the search goes on: nobody waits for it while typing. */
const REST = 500;
/** Milliseconds that this waits for the findings after something is typed in the form. */
const AFTER_TYPING = 300;
/** Milliseconds between two things that a screen reader is told of a search. */
const APART = 4000;

/** @param {unknown} value @returns {value is Record<string, unknown>} */
function isObject(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** @param {unknown} value @returns {Texts} */
function soundTexts(value) {
  const entries = isObject(value) ? Object.entries(value) : [];
  return Object.fromEntries(entries.filter(/** @returns {each is [string, string]} */ (each) => typeof each[1] === "string"));
}

/** What was kept, whatever has become of it; Python looks at the plan itself. @param {unknown} value @returns {Made | undefined} */
function soundMade(value) {
  if (!isObject(value) || !isObject(value.plan) || !Array.isArray(value.plan.stops)) return undefined;
  const ticks = Math.min(Math.max(0, Math.trunc(Number(value.ticks)) || 0), value.plan.stops.length);
  return { plan: { ...value.plan, stops: value.plan.stops }, typed: soundTexts(value.typed), mark: String(value.mark), ticks };
}

/** The choices, in the way of a sheet: an entry reads and writes its text here. */
class Choices extends EventTarget {
  #sheet;
  /** @type {Kept} */
  #kept = { typed: {} };

  /** @param {Sheet} sheet */
  constructor(sheet) {
    super();
    this.#sheet = sheet;
    sheet.addEventListener("replaced", () => {
      const kept = sheet.content.beside[NAME];
      const { typed, made, before } = isObject(kept) ? kept : {};
      this.#kept = { typed: soundTexts(typed), made: soundMade(made), before: soundMade(before) };
      this.dispatchEvent(new Event("replaced"));
    });
  }

  /** By the choices' own names. */
  get typed() {
    return this.#kept.typed;
  }

  get made() {
    return this.#kept.made;
  }

  get before() {
    return this.#kept.before;
  }

  /** @param {Partial<Kept>} changed */
  keep(changed) {
    this.hold(changed);
    this.write();
    if (changed.typed) this.dispatchEvent(new Event("replaced"));
  }

  /** As long as the page lives; a search tells of its plan many times a second. @param {Partial<Kept>} changed */
  hold(changed) {
    this.#kept = { ...this.#kept, ...changed };
  }

  write() {
    this.#sheet.keepBeside(NAME, this.#kept);
  }

  /** The rows of what is done are those of the engine's units. */
  get texts() {
    return { [UNITS]: this.#sheet.text(UNITS) };
  }

  /** @param {(key: string) => boolean} _ @param {() => void} act */
  onTyped(_, act) {
    this.#sheet.onTyped((key) => key === UNITS, act);
  }

  /** @param {string} key */
  text(key) {
    return this.typed[key.slice(PREFIX.length)] ?? "";
  }

  /** @param {string} key @param {string} text */
  type(key, text) {
    const { [key.slice(PREFIX.length)]: _, ...others } = this.typed;
    this.hold({ typed: text === "" ? others : { ...others, [key.slice(PREFIX.length)]: text } });
    this.write();
    this.dispatchEvent(new Event("typed"));
  }
}

export class Plan {
  #doing;
  #choices;
  #entries;
  #jobEntries;
  #needs = element("div", { class: "ws-needs", tabindex: "-1", role: "group", "aria-label": "What the plan needs first" });
  #standing = element("details", { class: "ws-standing" });
  #make = button("Make the plan", () => this.#begin(), { id: "plan-make" });
  #stop = button("Stop", () => this.#halt(), { id: "plan-stop" });
  #bar = element("progress", { max: "100", "aria-labelledby": "plan-line" });
  #line = element("span", { id: "plan-line" });
  #running = element("div", { class: "ws-running" }, this.#line, this.#bar);
  #result = element("p", { class: "ws-planned", id: "plan-result" });
  #stale = element("p", { class: "sm-signal sm-warning", id: "plan-stale" });
  #words = new Place(element("div", { class: "ws-planwords" }));
  #way = new Place(element("div", { class: "ws-planway" }));
  #ticked = element("p", { class: "ws-ticked" });
  #print = button("Plan for the turning-gear station", () => this.#choices.made && this.#doing.print(this.#choices.made.plan),
    { id: "plan-print" });
  #rest = button("Plan the rest from here", () => this.#planRest(), { id: "plan-rest" });
  #back = button("Back to the plan before", () => this.#goBack(), { id: "plan-back" });
  #said = element("div", { class: "ws-hidden", role: "status", "aria-live": "polite" });
  /** Counts the searches; one that is not the newest asks no more. */
  #run = 0;
  #searching = false;
  /** @type {Progress | undefined} what the newest search has told last */
  #progress;
  /** @type {Look | undefined} */
  #look;
  /** Whether the person wants to be told what is missing: after pressing the button. */
  #pressed = false;
  /** Whether the plan that is kept is on show. */
  #drawn = false;
  #inSight = false;
  #typedAt = -REST;
  /** @type {number | undefined} */
  #waiting;
  #saidAt = -APART;

  /** @param {Sheet} sheet @param {View} view @param {Entries} jobEntries @param {Doing} doing */
  constructor(sheet, view, jobEntries, doing) {
    this.#doing = doing;
    this.#jobEntries = jobEntries;
    this.#choices = new Choices(sheet);
    this.#entries = new Entries(this.#choices);
    const [first, ...interrupted] = described.groups.map((group) =>
      drawGroup(this.#entries, { ...group, fields: group.fields.map((face) => ({ ...face, key: `${PREFIX}${face.key}` })) }));
    const done = new UnitGrid(this.#choices, this.#entries, view, described.done, { path: `${PREFIX}${described.done.key}` });
    this.#standing.append(element("summary", {}, "After an interruption: where it goes on"),
      element("p", { class: "ws-quiet" }, "Say where the flywheel stands and what is done. “Plan the rest from here” fills this in from the ticked stops."),
      ...interrupted, done.box);
    this.box = element("section", { class: "ws-section ws-plan", id: "section-plan", "aria-labelledby": "title-plan" },
      element("h3", { id: "title-plan", tabindex: "-1" }, "In which order to turn"),
      element("p", { class: "ws-quiet" },
        "The plan says at which angle to stop, and what to do there with which gauge set, so that as little as possible is turned."),
      this.#needs, first, this.#standing,
      element("div", { class: "ws-bar" }, this.#make, this.#stop), this.#running, this.#result, this.#stale, this.#words.box,
      element("div", { class: "ws-bar" }, this.#print, this.#back), this.#way.box,
      element("div", { class: "ws-bar ws-goon" }, this.#ticked, this.#rest), this.#said);
    this.#choices.addEventListener("typed", () => this.refresh(0));
    this.#choices.addEventListener("replaced", () => this.#showKept());
    sheet.addEventListener("typed", () => (this.#typedAt = performance.now()));
    sheet.addEventListener("replaced", () => this.#end());
    this.#way.box.addEventListener("change", (event) => this.#tick(event.target));
    this.box.addEventListener("reveal", (event) => {
      const unit = /^plan\.done\/(\d+)\//.exec(/** @type {CustomEvent<string>} */ (event).detail)?.[1];
      if (unit) view.move({ unit: Number(unit) });
    });
    // What nobody sees is not asked for: it would hold up the findings.
    new IntersectionObserver((seen) => {
      this.#inSight = seen.at(-1)?.isIntersecting ?? false;
      if (this.#inSight) this.refresh(0);
    }).observe(this.box);
    this.#showKept();
  }

  /** The job or the choices have changed: say what stands in the way now. */
  refresh(after = AFTER_TYPING) {
    clearTimeout(this.#waiting);
    this.#waiting = setTimeout(() => (this.#inSight || this.#searching) && this.#refresh(), after);
  }

  async #refresh() {
    const answer = await this.#doing.ask({ do: "plan_look", typed: this.#choices.typed }).catch(() => null);
    if (answer) this.#show(answer);
    const { made } = this.#choices;
    if (!answer || !made || this.#drawn || this.#searching) return;
    // It was kept by an earlier page. What is in a browser's store is never put on the page as markup; Python writes it anew.
    const shown = await this.#doing.ask({ do: "plan_shown", plan: made.plan }).catch(() => null);
    if (!shown || made !== this.#choices.made) return;
    if (!shown.html) return this.#choices.keep({ made: undefined });
    this.#draw(shown.html);
  }

  /** @param {Look} look */
  #show(look) {
    this.#look = look;
    this.#entries.answer(Object.fromEntries(Object.entries(look.fields).map(([name, reply]) => [`${PREFIX}${name}`, reply])));
    const missing = this.#pressed ? look.missing.map(({ name, text }) => ({ key: `${PREFIX}${name}`, text })) : [];
    const wrong = Object.entries(look.fields).filter(([name, { error }]) => error && (this.#pressed || !this.#entries.at(`${PREFIX}${name}`)))
      .map(([name, { error = "" }]) => ({ key: `${PREFIX}${name}`, text: error }));
    const drawn = JSON.stringify([look.needs, missing, wrong]);
    this.#needs.hidden = !(look.needs.length + missing.length + wrong.length);
    if (this.#needs.dataset.drawn !== drawn) {
      this.#needs.dataset.drawn = drawn;
      this.#needs.replaceChildren(element("p", {}, "The plan needs this first:"),
        todo(this.#jobEntries, look.needs), todo(this.#entries, [...missing, ...wrong]));
    }
    this.#showState();
  }

  /** What can be done, and whether the plan on show is still what is wanted. */
  #showState() {
    const { made, before } = this.#choices;
    const total = made?.plan.stops.length ?? 0;
    this.#stop.hidden = this.#running.hidden = !this.#searching;
    this.#make.hidden = this.#searching;
    this.#print.hidden = this.#rest.hidden = this.#ticked.hidden = !made || this.#searching || total === 0;
    this.#back.hidden = !before || this.#searching;
    this.#rest.disabled = !made || made.ticks === 0 || made.ticks === total;
    const ticks = made?.ticks ?? 0;
    this.#ticked.textContent = ticks === total ? `All ${total} stops are done.`
      : ticks ? `${ticks} of ${total} stops are done.` : "Tick each stop when it is done. Then the rest can be planned anew from there.";
    const isStale = made !== undefined && !this.#searching && this.#look !== undefined && this.#look.mark !== made.mark;
    this.#stale.hidden = !isStale;
    this.#stale.textContent = isStale
      ? "Warning: settings or choices have changed since this plan was made. Do not turn by it. Make the plan again." : "";
  }

  /** What is kept with the job is on the sheet now. */
  #showKept() {
    this.#drawn = false;
    this.#pressed = false;
    this.#result.textContent = "";
    if (!this.#choices.made) this.#draw({ words: "", way: "" });
    if (Object.keys(this.#choices.typed).some((name) => name === "from_deg" || name.startsWith(described.done.key))) this.#standing.open = true;
    this.#showState();
    this.refresh(0);
  }

  /** @param {{words: string, way?: string}} html */
  #draw(html) {
    this.#drawn = true;
    this.#words.put(html.words);
    if (html.way !== undefined) this.#way.put(html.way);
    this.#showTicks();
    this.#showState();
  }

  #showTicks() {
    const ticks = this.#choices.made?.ticks ?? 0;
    for (const box of this.#way.box.querySelectorAll("input")) {
      box.checked = Number(box.dataset.stop) <= ticks;
      box.closest("tr")?.classList.toggle("is-done", box.checked);
    }
  }

  /** Stops are made one after the other, so all before a done one are done, and none behind one that is not. @param {EventTarget | null} box */
  #tick(box) {
    const { made } = this.#choices;
    if (!(box instanceof HTMLInputElement) || !box.dataset.stop || !made) return;
    // Who works by this plan wants no other one under the hands.
    this.#halt();
    const stop = Number(box.dataset.stop);
    this.#choices.keep({ made: { ...made, ticks: box.checked ? stop : stop - 1 } });
    this.#showTicks();
    this.#showState();
    this.#say(this.#ticked.textContent ?? "");
  }

  async #begin() {
    const run = ++this.#run;
    this.#pressed = true;
    this.#setSearching(true);
    this.#line.textContent = "Beginning";
    this.#bar.value = 0;
    const { typed, made: older } = this.#choices;
    try {
      /** @type {(Look & Progress) | null} */
      const begun = await this.#doing.ask({ do: "plan", typed });
      if (run !== this.#run) return;
      if (!begun) return this.#halt("Python is not ready. Try again when it is.");
      this.#show(begun);
      if (begun.mark === null) {
        this.#halt("The plan needs more first.", { shown: false });
        this.#needs.focus();
        return;
      }
      /** @type {Progress} */
      let progress = begun;
      for (;;) {
        if (progress.dropped) return this.#halt("The job has changed, so the search has stopped. Make the plan again.");
        this.#follow(progress, { typed, mark: begun.mark, older });
        if (progress.ended) return this.#halt(progress.standing, { shown: false });
        await this.#untilNobodyTypes();
        if (run !== this.#run) return;
        progress = await this.#doing.goOn(begun.number);
        if (run !== this.#run) return;
      }
    } catch (trouble) {
      if (run === this.#run) this.#halt(trouble instanceof Error ? trouble.message : String(trouble));
    }
  }

  /** @param {Progress} progress @param {{typed: Texts, mark: string, older: Made | undefined}} what */
  #follow(progress, { typed, mark, older }) {
    this.#progress = progress;
    this.#line.textContent = [`${progress.line}: ${progress.share} %.`, progress.standing].filter(Boolean).join(" ");
    this.#bar.value = progress.share;
    if (performance.now() - this.#saidAt > APART) this.#say(this.#line.textContent);
    if (!progress.plan || !progress.html) return;
    this.#choices.hold({ made: { plan: progress.plan, typed, mark, ticks: 0 }, before: older ?? this.#choices.before });
    if (progress.html.way !== undefined) this.#choices.write();
    this.#draw(progress.html);
  }

  async #untilNobodyTypes() {
    for (let left; (left = this.#typedAt + REST - performance.now()) > 0;) await new Promise((go) => setTimeout(go, left));
  }

  /**
   * Ask no more; the plan found so far stays.
   * @param {string} [words] why; without any, the person has stopped it
   * @param {{shown?: boolean}} [options] whether that is to be seen as well: the plan itself says that it is proven
   */
  #halt(words = ["Stopped.", this.#progress?.standing].filter(Boolean).join(" "), { shown = true } = {}) {
    if (!this.#searching) return;
    this.#end();
    if (this.#progress?.plan) this.#choices.write();
    this.#result.textContent = shown ? words : "";
    this.#say(words);
  }

  #end() {
    this.#run++;
    this.#setSearching(false);
  }

  /** @param {boolean} is */
  #setSearching(is) {
    const [shown, next] = is ? [this.#make, this.#stop] : [this.#stop, this.#make];
    const hadFocus = shown === document.activeElement;
    this.#searching = is;
    if (is) {
      this.#progress = undefined;
      this.#result.textContent = "";
    }
    this.#showState();
    // One of the two buttons stands in the place of the other.
    if (hadFocus) next.focus();
  }

  /** @param {string} words */
  #say(words) {
    this.#saidAt = performance.now();
    if (this.#said.textContent !== words) this.#said.textContent = words;
  }

  async #planRest() {
    const { made } = this.#choices;
    if (!made) return;
    const answer = await this.#doing.ask({ do: "plan_rest", typed: made.typed, plan: made.plan, stops: made.ticks }).catch(() => null);
    if (!answer || made !== this.#choices.made) return;
    this.#choices.keep({ typed: answer.typed });
    this.#standing.open = true;
    this.#make.focus();
    await this.#begin();
  }

  /** Change places with the plan before, so that going back can itself be undone. */
  #goBack() {
    const { made, before } = this.#choices;
    if (before) this.#choices.keep({ made: before, before: made, typed: before.typed });
  }
}
