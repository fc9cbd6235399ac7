// The worksheet page: drawn at once and typed into at once; Python judges as soon as it is there.

import { button, element } from "./element.js";
import { demoChooser } from "./demo.js";
import { Entries } from "./entries.js";
import { Files } from "./files.js";
import { Findings } from "./findings.js";
import { readings, sections } from "./form.js";
import { Kept } from "./kept.js";
import { Problems } from "./problems.js";
import { startPython } from "./python/client.js";
import { Readings } from "./readings.js";
import { drawSection } from "./sections.js";
import { Sheet } from "./sheet.js";
import { Status } from "./status.js";
import { JobsBox } from "./store/box.js";
import { Database } from "./store/database.js";
import { Jobs } from "./store/jobs.js";
import { Keeper } from "./store/keeper.js";
import { BLOCKED } from "./store/troubles.js";
import { View } from "./view.js";

/** @import { Progress } from "./python/client.js" */

const place = document.getElementById("sheet");
if (place) start(place);

/** @param {HTMLElement} place */
function start(place) {
  const sheet = new Sheet();
  const view = new View(readings.stages[0].value);
  const entries = new Entries(sheet);
  const problems = new Problems(entries);
  const status = new Status(() => python.restart());
  const drawn = sections.map((section) => drawSection(sheet, entries, view, section));
  const table = new Readings(sheet, entries, view);
  const kept = new Kept(sheet, entries);
  const jobs = new Jobs(new Database(() => keeper.wait(BLOCKED)));
  const keeper = new Keeper(sheet, jobs);
  const list = new JobsBox(jobs, keeper);
  keeper.addEventListener("retitled", () => entries.at("title")?.refresh());
  const findings = new Findings(view, async (unit, stage) => {
    const { html } = await python.call({ do: "working", texts: sheet.texts, base: sheet.base, unit, stage });
    return html;
  });

  /** The number of Python's answer that is on show; 0 when this Python has given none. */
  let holds = 0;
  // Python's first phase is told while its client is being made, so all that shows it is there already.
  let opened = false;
  const python = startPython({ onPhase: (progress) => onPhase(progress) });
  const files = new Files(sheet, python, () => (opened = true));

  /** @param {Progress} progress */
  function onPhase(progress) {
    status.show(progress);
    if (progress.phase === "failed") findings.lose("There are no findings, because Python is not there.");
    // After a restart too: what was asked before has been lost.
    else if (progress.phase === "ready") {
      holds = 0;
      judge();
    }
  }

  async function judge() {
    // A blank form before Python is ready is no question yet; "ready" asks it.
    if (document.documentElement.dataset.calc !== "ready") return;
    const { first } = findings;
    const answer = await python.callLatest("assess", { do: "assess", texts: sheet.texts, base: sheet.base, holds, first }).catch((trouble) => {
      findings.lose(trouble.message);
      return null;
    });
    if (!answer) return;
    holds = answer.number;
    entries.answer(answer.fields);
    problems.show(answer.errors, answer.missing);
    // Nothing typed, nothing judged: a blank form has no verdict.
    findings.show(sheet.isBlank ? null : answer.verdict, answer.html);
    if (opened) problems.focusErrors();
    opened = false;
    // What is out of sight waits until what is in sight has been painted.
    if (first) requestAnimationFrame(() => setTimeout(judgeRest));
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
  sheet.addEventListener("replaced", judge);
  sheet.addEventListener("typed", judge);
  window.addEventListener("beforeunload", (event) => {
    keeper.flush();
    // What is on its way into a sound database arrives there.
    if (sheet.wouldLose && !keeper.isSound) event.preventDefault();
  });

  const bar = element("div", { class: "ws-bar" }, files.chooser,
    button("Save job file", () => files.save(), { id: "save-job" }),
    button("New blank form", () => files.clear(), { id: "new-job" }),
    demoChooser((name, text) => files.openText(name, text)));
  const paper = element("div", { class: "ws-bar", role: "group", "aria-label": "Paper" },
    button("Record for paper", () => files.savePaper({ do: "record" }), { id: "save-record" }),
    button("Blank forms", () => files.savePaper({ do: "blank" }), { id: "save-forms" }),
    button("Readings as CSV", () => files.savePaper({ do: "csv" }), { id: "save-readings" }),
    button("Findings as CSV", () => files.savePaper({ do: "csv", findings: true }), { id: "save-findings" }));
  const titles = [...sections, { id: "readings", title: "Readings" }];
  const contents = element("nav", { class: "ws-contents", "aria-label": "Parts of the form" },
    ...titles.map(({ id, title }) => element("a", { href: `#section-${id}` }, title)),
    element("a", { href: "#findings", class: "ws-phone" }, "Findings"));
  const form = element("div", { class: "ws-form" }, problems.box, contents, ...drawn, table.box, kept.box, paper, findings.foot);
  place.append(bar, files.news, list.notice, list.box, status.box, banner, element("div", { class: "ws-columns" }, form, findings.box));
  files.acceptDrops(place);
  keeper.start();
}
