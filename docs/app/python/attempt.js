// One attempt at starting Python: a worker, a second one that unpacks, and the files, each sent as soon as it is there.

import unpackerSource from "../../generated/app/python-unpacker.txt";
import workerSource from "../../generated/app/python-worker.txt";
import { readPart, UnreadableFile } from "./reading.js";
import { sendable } from "./unpack.js";

/**
 * @import { FromWorker, ToUnpacker, ToWorker } from "./messages.js"
 * @import { Part } from "./reading.js"
 */

/** @type {Record<"warm" | "cold", Part[]>} what a start needs: from the snapshot, or from nothing */
const NEEDED = { warm: ["payload", "snapshot"], cold: ["payload", "library", "program"] };

/** @param {string} source */
function workerOf(source) {
  // A `blob:` address would be refused by Chromium on file://, without a word.
  return new Worker(`data:text/javascript;charset=utf-8,${encodeURIComponent(source)}`, { type: "module" });
}

export class Attempt {
  #worker;
  #unpacker;
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
    this.#worker = workerOf(workerSource);
    this.#unpacker = workerOf(unpackerSource);
    this.#worker.onmessage = ({ data }) => this.#hear(data);
    for (const each of [this.#worker, this.#unpacker]) {
      each.onmessageerror = () => this.#hear({ kind: "failed", text: "sent something unreadable" });
      each.onerror = (event) => {
        event.preventDefault();
        this.#hear({ kind: "failed", text: event.message || "was refused or ended by the browser" });
      };
    }
    const { port1, port2 } = new MessageChannel();
    this.#tellUnpacker({ kind: "port", port: port1 }, [port1]);
    this.tell({ kind: "start", warm, port: port2 }, [port2]);
    this.#send(folder, NEEDED[warm ? "warm" : "cold"]);
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
    this.#unpacker.terminate();
  }

  /** @param {ToUnpacker} message @param {Transferable[]} [given] */
  #tellUnpacker(message, given = []) {
    this.#unpacker.postMessage(message, given);
  }

  /** @param {URL} folder @param {Part[]} parts */
  async #send(folder, parts) {
    try {
      await Promise.all(parts.map(async (part) => {
        const { packed, plain } = await readPart(folder, part);
        this.tell({ kind: "plain", plain });
        for (const [name, text] of packed) {
          const { packed, given } = sendable(text);
          this.#tellUnpacker({ kind: "unpack", name, packed }, given);
        }
      }));
      this.#tellUnpacker({ kind: "end" });
    } catch (trouble) {
      const { message, address } = /** @type {UnreadableFile} */ (trouble);
      this.#hear({ kind: "unreadable", text: message, address });
    }
  }
}
