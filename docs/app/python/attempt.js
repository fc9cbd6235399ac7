// One attempt at starting Python: a worker, and the files that it starts from, each sent as soon as it is there.

import workerSource from "../../generated/app/python-worker.txt";
import { readPart, UnreadableFile } from "./reading.js";
import { sendable } from "./unpack.js";

/**
 * @import { FromWorker, ToWorker } from "./messages.js"
 * @import { Part } from "./reading.js"
 */

/** @type {Record<"warm" | "cold", Part[]>} what a start needs: from the snapshot, or from nothing */
const NEEDED = { warm: ["payload", "snapshot"], cold: ["payload", "library", "program"] };

export class Attempt {
  #worker;
  /** @type {FromWorker[]} what came before anybody listened */
  #heard = [];
  /** @type {(message: FromWorker) => void} */
  #hear = (message) => this.#heard.push(message);

  /**
   * Throws when the browser refuses the worker.
   * @param {URL} folder where the files lie
   * @param {boolean} warm whether to start from the snapshot
   */
  constructor(folder, warm) {
    this.warm = warm;
    // A `blob:` address would be refused by Chromium on file://, without a word.
    this.#worker = new Worker(`data:text/javascript;charset=utf-8,${encodeURIComponent(workerSource)}`, { type: "module" });
    this.#worker.onmessage = ({ data }) => this.#hear(data);
    this.#worker.onmessageerror = () => this.#hear({ kind: "failed", text: "sent something unreadable" });
    this.#worker.onerror = (event) => {
      event.preventDefault();
      this.#hear({ kind: "failed", text: event.message || "was refused or ended by the browser" });
    };
    this.tell({ kind: "start", warm });
    for (const part of NEEDED[warm ? "warm" : "cold"]) this.#send(folder, part);
  }

  /** Who hears the worker from now on, and what it has said so far. @param {(message: FromWorker) => void} hear */
  listen(hear) {
    this.#hear = hear;
    for (const message of this.#heard.splice(0)) hear(message);
  }

  /** @param {ToWorker} message @param {Transferable[]} [given] what goes over to the worker and is gone here */
  tell(message, given = []) {
    this.#worker.postMessage(message, given);
  }

  /** It is of no more use. */
  end() {
    this.#hear = () => {};
    this.#worker.terminate();
  }

  /** @param {URL} folder @param {Part} part */
  async #send(folder, part) {
    try {
      const { files, given } = sendable(await readPart(folder, part));
      this.tell({ kind: "files", files }, given);
    } catch (trouble) {
      const { message, address } = /** @type {UnreadableFile} */ (trouble);
      this.#hear({ kind: "unreadable", text: message, address });
    }
  }
}
