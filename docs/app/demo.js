// The demo: jobs of an invented ship, inside the page so that they open without a network.

import { button, element } from "./element.js";
import jobs from "../generated/demo-jobs.json";

/** @param {(name: string, text: string) => void} open */
export function demoChooser(open) {
  const choice = element("select", { class: "ws-control", id: "demo-job", "aria-label": "Demo job", autocomplete: "off" },
    ...jobs.map(({ title }, at) => element("option", { value: String(at) }, title)));
  return element("span", { class: "ws-demochoice" }, choice,
    button("Show the demo", () => {
      const { title, text } = jobs[Number(choice.value)];
      open(title, text);
    }, { id: "show-demo" }));
}
