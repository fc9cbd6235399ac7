// The notes on where this page lies, above the list of jobs.

import { button, element } from "../element.js";
import { hereOf, keepPast, notesOf, readPast } from "./whereabouts.js";

/**
 * @import { Jobs } from "./jobs.js"
 * @import { Keeper } from "./keeper.js"
 * @import { Here, Note } from "./whereabouts.js"
 */

export class WhereBox {
  #jobs;
  /** @type {Here} */
  #here;
  #leave;
  box = element("div", { class: "ws-where", role: "status" });

  /**
   * @param {Jobs} jobs
   * @param {Keeper} keeper
   * @param {string} version of this worksheet
   * @param {() => void} leave takes the focus, when the note that has it is put away
   */
  constructor(jobs, keeper, version, leave) {
    this.#jobs = jobs;
    this.#here = hereOf(location, version);
    this.#leave = leave;
    // Once a visit, as soon as the database has answered or cannot, and it stays: a note that went away by itself would move the
    // form under the hands.
    const wait = () => {
      if (!keeper.isSound && !keeper.trouble) return;
      keeper.removeEventListener("changed", wait);
      this.#look(keeper);
    };
    keeper.addEventListener("changed", wait);
  }

  /** @param {Keeper} keeper */
  async #look(keeper) {
    const past = readPast();
    const entries = await this.#jobs.list().catch(() => undefined);
    const held = entries?.filter(({ deleted }) => deleted === undefined);
    // Where nothing can be kept, that is what has to be said, and it is said already.
    const jobs = !keeper.isSound || !held ? "unknown" : held.length ? "some" : "none";
    this.box.replaceChildren(...notesOf(this.#here, past, jobs).map((note) => this.#draw(note)));
    keepPast(this.#here, past);
  }

  /** @param {Note} note */
  #draw({ matter, text }) {
    const drawn = element("div", { class: "ws-wherenote", "data-matter": matter }, element("p", {}, text),
      button("Put this note away", () => {
        keepPast(this.#here, readPast(), matter);
        drawn.remove();
        this.#leave();
      }));
    return drawn;
  }
}
