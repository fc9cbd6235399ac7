// Pages with lessons: their questions can be answered. Python starts when a question comes near, and not before: it is large.

import { startPython } from "./python/client.js";
import { QuestionBox } from "./question.js";
import { Status } from "./status.js";

/**
 * @import { Progress, Python } from "./python/client.js"
 */

const ELSEWHERE = "Open this page in another browser.";
const ADVICE = { report: "Report the question and what you typed.", elsewhere: ELSEWHERE };
const SAFE = `What you typed is kept. The answers are folded below the questions. ${ELSEWHERE}`;
/** How near a question has to come before Python starts, as a part of the window. */
const NEAR = "25% 0px";

/** @type {Python | undefined} */
let python;
/** @type {Status[]} */
const all = [];

function start() {
  python ??= startPython({
    onPhase: (/** @type {Progress} */ reached) => {
      for (const status of all) status.show(reached);
    },
    advice: ADVICE,
  });
  return python;
}

const near = new IntersectionObserver((seen) => {
  if (!seen.some(({ isIntersecting }) => isIntersecting)) return;
  near.disconnect();
  start();
}, { rootMargin: NEAR });

for (const box of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".question[data-question]"))) {
  // Many questions, one Python: it is spoken of once.
  const status = new Status(() => python?.restart(), { safe: SAFE, spoken: all.length === 0 });
  all.push(status);
  new QuestionBox(box, (request) => start().call(request), status);
  box.addEventListener("focusin", start);
  near.observe(box);
}
