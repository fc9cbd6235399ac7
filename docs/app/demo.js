// The demo: jobs of an invented ship, inside the page so that they open without a network, and as they are once opened, so that
// they do not wait for Python.

import { button, element } from "./element.js";
import jobs from "../generated/demo-jobs.json";

/** @import { Base, Texts } from "./sheet.js" */

/** @param {(name: string, job: {texts: Texts, base: Base}) => void} open */
export function demoChooser(open) {
  const choice = element("select", { class: "ws-control", id: "demo-job", "aria-label": "Demo job", autocomplete: "off" },
    ...jobs.map(({ title }, at) => element("option", { value: String(at) }, title)));
  return element("span", { class: "ws-demochoice" }, choice,
    button("Show the demo", () => {
      const { title, opened } = jobs[Number(choice.value)];
      open(title, JSON.parse(opened));
    }, { id: "show-demo" }));
}
