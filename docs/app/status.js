// How far Python is, in one line that falls silent when all is well; and what to do when it does not start.

import { button, element } from "./element.js";

/** @import { Progress } from "./python/client.js" */

const SAFE = "Your readings are safe in this page. Save the job file, then open it in another browser.";
/** What the client says where it knows no more than that. */
const KEPT = "What you typed is kept.";

export class Status {
  #line = element("p", { class: "ws-phase" });
  #advice = element("div", { class: "ws-failed" });
  #wasReady = false;
  #retry;
  #safe;

  /**
   * @param {() => void} restart
   * @param {{safe?: string, spoken?: boolean}} [options] `safe`: what is safe and what to do; `spoken`: whether it is read aloud
   */
  constructor(restart, { safe = SAFE, spoken = true } = {}) {
    this.#safe = safe;
    this.#retry = button("Try again", restart);
    this.#advice.hidden = true;
    this.box = element("div", { class: "ws-status", role: spoken ? "status" : undefined }, this.#line, this.#advice);
  }

  /** @param {Progress} progress */
  show({ phase, text, detail }) {
    if (phase === "ready") this.#wasReady = true;
    const failed = phase === "failed";
    this.#advice.hidden = !failed;
    this.#line.hidden = failed || phase === "ready";
    this.#line.textContent = this.#line.hidden ? "" : `${text} You can read and type meanwhile.`;
    if (!failed) return;
    const title = this.#wasReady ? "Python has stopped." : "Python did not start in this browser.";
    // The client's own text says the same as the title and the advice where it knows no more.
    const reasons = [text.includes(KEPT) ? "" : text, detail ?? ""].filter(Boolean);
    this.#advice.replaceChildren(
      element("p", {}, element("strong", {}, title), ` ${this.#safe}`),
      ...(reasons.length ? [element("p", { class: "ws-quiet" }, `Reason: ${reasons.join(" ")}`)] : []),
      this.#retry);
  }
}
