// The worksheet page: drawn at once and typed into at once; Python judges as soon as it is there.

import { button, element } from "./element.js";
import { Calculations } from "./calculations.js";
import { Closing } from "./closing.js";
import { Confirmations } from "./confirmations.js";
import { demoChooser } from "./demo.js";
import { Entries } from "./entries.js";
import { Files } from "./files.js";
import { Findings } from "./findings.js";
import { csvTables } from "./form.js";
import { UnitGrid } from "./grid.js";
import { Kept } from "./kept.js";
import { Plan } from "./plan.js";
import { Problems } from "./problems.js";
import { startPython } from "./python/client.js";
import { Readings, partsOfSteps } from "./readings.js";
import { Rows } from "./rows.js";
import { drawGroup } from "./sections.js";
import { Sheet } from "./sheet.js";
import { Signing } from "./signing.js";
import { Status } from "./status.js";
import { Steps } from "./steps.js";
import { Trend } from "./trend.js";
import { JobsBox } from "./store/box.js";
import { Database } from "./store/database.js";
import { Jobs } from "./store/jobs.js";
import { Keeper } from "./store/keeper.js";
import { BLOCKED } from "./store/troubles.js";
import { WhereBox } from "./store/wherebox.js";
import { View } from "./view.js";
import { WhatIf } from "./whatif.js";

/**
 * @import { Progress } from "./python/client.js"
 * @import { Step, Table } from "./form.js"
 */

const place = document.getElementById("sheet");
if (place) start(place);

/** @param {HTMLElement} place */
function start(place) {
  const sheet = new Sheet();
  // Before all others: while they draw another job, Python judges it.
  sheet.addEventListener("replaced", () => {
    newest = undefined;
    judge();
  });
  const view = new View();
  const entries = new Entries(sheet);
  const problems = new Problems(entries);
  const status = new Status(() => python.restart());
  const signing = new Signing(sheet, entries);
  const closing = new Closing(entries);
  const confirmations = new Confirmations(sheet, entries, signing);

  /**
   * A table whose last name is the unit is compact; any other has a row of labelled fields for each thing. So has one in whose
   * cells there are tables: they need the width, and one unit at a time.
   * @param {Table} table
   */
  function drawTable(table) {
    const [first, ...rest] = table.axes;
    if (table.columns.some(({ kind }) => kind === "table")) return [new Rows(sheet, entries, signing, view, table).box];
    if (first.kind === "unit" && rest.length === 0) return [new UnitGrid(sheet, entries, view, table).box];
    if (rest.length === 1 && rest[0].kind === "unit") {
      return first.values.map(({ value, label }) => new UnitGrid(sheet, entries, view, table,
        { path: `${table.key}/${value}`, title: `${table.title}, ${label}` }).box);
    }
    return [new Rows(sheet, entries, signing, view, table).box];
  }

  /** @param {Step} step */
  function draw({ id, groups, names, tables, confirmations: asked, confirmsLast, around }) {
    const confirmed = asked.length ? [confirmations.draw(asked)] : [];
    const offered = around ? new Calculations(sheet, id, around, (name, typed) => ask(`compute ${name}`, { do: "compute", name, typed })) : null;
    if (offered) calculations.push(offered);
    return [
      ...(first[id] ?? []),
      ...(confirmsLast ? [] : confirmed),
      ...(partsOfSteps[id] ? [new Readings(sheet, entries, view, partsOfSteps[id]).box] : []),
      ...groups.map((group) => drawGroup(entries, group, signing)),
      ...tables.flatMap(drawTable),
      ...(confirmsLast ? confirmed : []),
      ...(names.length ? [drawGroup(entries, { title: "", fields: names }, signing)] : []),
      ...(extras[id] ?? []),
      ...(offered ? [offered.box] : []),
    ];
  }

  /**
   * What Python says of the form as it is; null while Python is not there, or when a newer question has overtaken this one.
   * @param {string} subject questions of one subject overtake each other
   * @param {Record<string, unknown>} question
   * @returns {Promise<any>}
   */
  async function ask(subject, question) {
    if (document.documentElement.dataset.calc !== "ready") return null;
    return python.callLatest(subject, { ...question, texts: sheet.texts, base: sheet.base });
  }

  const whatIf = new WhatIf(sheet, view, (moves, unit) => ask("what_if", { do: "what_if", moves, unit }));
  /** @type {Calculations[]} those of the steps that are drawn */
  const calculations = [];

  const plan = new Plan(sheet, view, entries, {
    ask: (question) => ask(question.do, question),
    goOn: (number) => python.call({ do: "plan_on", number }),
    print: (made) => files.savePaper({ do: "plan_sheet", plan: made }),
  });

  const jobs = new Jobs(new Database(() => keeper.wait(BLOCKED)));
  const keeper = new Keeper(sheet, jobs);
  const trend = new Trend(sheet, jobs, keeper, {
    ask,
    call: (question) => python.call(question),
    save: (paper) => files.savePaper(paper),
    say: (words) => files.say(words),
  });

  const lists = element("select", { class: "ws-control", id: "csv-table", "aria-label": "List to save as CSV", autocomplete: "off" },
    ...csvTables.map(({ key, title }) => element("option", { value: key }, title)));
  const paper = element("div", { class: "ws-bar", role: "group", "aria-label": "Paper and tables" },
    button("Record for paper", () => files.savePaper({ do: "record" }), { id: "save-record" }),
    button("Blank forms", () => files.savePaper({ do: "blank" }), { id: "save-forms" }),
    button("Readings as CSV", () => files.savePaper({ do: "csv" }), { id: "save-readings" }),
    button("Findings as CSV", () => files.savePaper({ do: "csv", findings: true }), { id: "save-findings" }),
    element("span", { class: "ws-demochoice" }, lists,
      button("List as CSV", () => files.savePaper({ do: "csv", table: lists.value }), { id: "save-list" })));
  const handover = element("div", { class: "ws-bar", role: "group", "aria-label": "Paper for handing over" },
    button("Handover page", () => files.savePaper({ do: "handover" }), { id: "save-handover" }));

  /** @type {Record<string, (Node | string)[]>} what a step has before what Python describes */
  const first = { correction: [whatIf.box] };
  /** @type {Record<string, (Node | string)[]>} and after it */
  const extras = {
    // Forms are printed before anything is read.
    due: [trend.box, element("div", { class: "ws-bar" }, button("Blank forms for the pump side", () => files.savePaper({ do: "blank" })))],
    turning: [plan.box],
    findings: [element("p", {}, element("a", { href: "#findings" }, "Go to the findings"))],
    record: [paper],
    handover: [handover, closing.box],
  };
  const steps = new Steps(sheet, entries, view, draw);
  const kept = new Kept(sheet, entries, view);
  const list = new JobsBox(jobs, keeper);
  const where = new WhereBox(jobs, keeper, SPILLMARK_VERSION, () => list.box.querySelector("summary")?.focus());
  keeper.addEventListener("retitled", () => entries.at("title")?.refresh());
  const findings = new Findings(view, async (unit, stage) => {
    const { html } = await python.call({ do: "working", texts: sheet.texts, base: sheet.base, unit, stage });
    return html;
  });

  /** The number of Python's answer that is on show; 0 when this Python has given none. */
  let holds = 0;
  /** Python's newest answer, while it is of the job on the sheet. @type {unknown} */
  let newest;
  // Python's first phase is told while its client is being made, so all that shows it is there already.
  let opened = false;
  const python = startPython({ onPhase: (progress) => onPhase(progress) });
  const files = new Files(sheet, python, (isOpen) => (isOpen ? (opened = true) : judge()));

  /** @param {Progress} progress */
  function onPhase(progress) {
    status.show(progress);
    if (progress.phase === "failed") {
      findings.lose("There are no findings, because Python is not there.");
      view.rest.begin();
    }
    // After a restart too: what was asked before has been lost.
    else if (progress.phase === "ready") {
      holds = 0;
      // A file that has waited for Python comes first; it replaces what would be judged.
      if (!files.isOpening) judge();
    }
  }

  async function judge() {
    // A blank form before Python is ready is no question yet; "ready" asks it.
    if (document.documentElement.dataset.calc !== "ready") return;
    findings.wait();
    const { first: inSight } = findings;
    const answer = await ask("assess", { do: "assess", holds, first: inSight }).catch((trouble) => {
      findings.lose(trouble.message);
      return null;
    });
    if (!answer) return;
    holds = answer.number;
    sheet.workedOnWith(answer.written_by);
    entries.answer(answer.fields);
    // Nothing typed, nothing judged: a blank form has no verdict.
    findings.show(sheet.isBlank ? null : answer.verdict, answer.html);
    newest = answer;
    const tell = () => {
      if (newest !== answer) return;
      problems.show(answer.errors, answer.missing);
      steps.show(answer.work);
      closing.show(answer.work.closing);
      confirmations.show(answer.work.unasked);
      whatIf.refresh();
      for (const each of calculations) each.refresh();
      plan.refresh();
      trend.refresh();
      if (opened) problems.focusErrors();
      opened = false;
    };
    // What is told leads to fields, so those come first; the verdict does not wait for them.
    if (view.rest.isEmpty) tell();
    else view.rest.put(steps.box, tell);
    view.rest.begin();
    // What is out of sight waits until what is in sight has been painted.
    if (inSight) requestAnimationFrame(() => setTimeout(judgeRest));
  }

  async function judgeRest() {
    const rest = await python.callLatest("rest", { do: "rest", holds }).catch(() => null);
    if (!rest) return;
    holds = rest.number;
    findings.fill(rest.units);
  }

  const banner = element("p", { class: "ws-demo" }, "Demo: invented ship and numbers");
  const showDemo = () => (banner.hidden = !sheet.isDemo);
  showDemo();
  sheet.addEventListener("replaced", showDemo);
  sheet.addEventListener("typed", judge);
  window.addEventListener("beforeunload", (event) => {
    keeper.leave();
    // What is on its way into a sound database arrives there.
    if (sheet.wouldLose && !keeper.isSound) event.preventDefault();
  });

  const bar = element("div", { class: "ws-bar" }, files.chooser,
    button("Save job file", () => files.save(), { id: "save-job" }),
    button("New blank form", () => files.clear(), { id: "new-job" }),
    demoChooser((name, job) => files.show(name, job)));
  const form = element("div", { class: "ws-form" }, problems.box, steps.box, kept.box, findings.foot);
  steps.map.prepend(signing.box);
  const onPaper = element("p", { class: "ws-onpaper" },
    "These are the findings as the screen shows them. The paper to file is the record: step Record, button Record for paper.");
  place.append(bar, files.news, list.notice, where.box, list.box, status.box, banner, onPaper,
    element("div", { class: "ws-columns" }, steps.map, form, findings.box));
  files.acceptDrops(place);
  keeper.start();
  // On a slow machine, or a slow line, nobody waits for Python.
  setTimeout(() => view.rest.begin(), 1500);
}
