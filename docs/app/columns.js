// What the compact tables share: heads, their explanation, and what stands in the place of rows that are not there yet.

import { element } from "./element.js";
import { addressOf, steps } from "./form.js";
import { UNITS } from "./units.js";
import { capital, findIt, withUnit } from "./words.js";

/** @import { Face } from "./form.js" */

/** A label such as "start: crank angle": what stands before the colon groups it. @param {string} label */
export function labelParts(label) {
  const [event, ...rest] = label.split(": ");
  return rest.length ? [element("strong", {}, capital(event)), " ", rest.join(": ")] : [capital(label)];
}

/** @param {Face[]} faces what to explain below a table, instead of at each of its cells */
export function explain(faces) {
  const lines = faces.filter(({ help, find }) => help || find).flatMap((face) => [
    element("dt", {}, capital(withUnit(face))),
    element("dd", {}, [face.help, findIt(face.find)].filter(Boolean).join(" ")),
  ]);
  return element("details", { class: "ws-explain" }, element("summary", {}, "What the columns mean"), element("dl", {}, ...lines));
}

/** The step that asks how many units there are. */
const counts = steps.find(({ groups }) => groups.some(({ fields }) => fields.some(({ key }) => key === UNITS)));

export function noRows() {
  const where = counts ? [element("a", { href: `#${addressOf(counts.id)}` }, counts.title)] : ["the engine's settings"];
  return element("p", { class: "ws-quiet" }, "The rows appear when the number of units is typed, in ", ...where, ".");
}
