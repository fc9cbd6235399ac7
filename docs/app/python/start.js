// How Python starts, in a file of its own. A page that will certainly need Python names it in its head with `data-now`: worker and
// files are then on their way long before the page's own script runs. Any other page reads it when Python is asked for (client.js).

import { program } from "../../generated/app/python.json";
import { Attempt } from "./attempt.js";

const script = /** @type {HTMLScriptElement} */ (document.currentScript);
const folder = new URL(".", script.src);

/** @param {boolean} warm */
function begin(warm) {
  const { begun } = starter;
  starter.begun = undefined;
  if (begun?.warm === warm) return begun;
  begun?.end();
  return new Attempt(folder, warm);
}

/** @type {import("./messages.js").Starter} */
const starter = { program, begin, begun: undefined };
globalThis.spillmarkStart = starter;
if (script.dataset.now !== undefined) {
  try {
    starter.begun = new Attempt(folder, true);
  } catch {
    // The page's own script tries again, and says what the browser has against it.
  }
}
