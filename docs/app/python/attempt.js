// One attempt at starting Python: a worker, and the files that it starts from, each sent as soon as it is there.

import unpackerSource from "../../generated/app/python-unpacker.txt";
import workerSource from "../../generated/app/python-worker.txt";
import { readPart, UnreadableFile } from "./reading.js";
import { sendable } from "./unpack.js";

/**
 * @import { FromWorker, ToUnpacker, ToWorker } from "./messages.js"
 * @import { Part } from "./reading.js"
 */

/** @type {Part[]} what a start from nothing needs */
const COLD = ["payload", "library", "program"];

/** @param {string} source */
function workerOf(source) {
  // A `blob:` address would be refused by Chromium on file://, without a word.
  return new Worker(`data:text/javascript;charset=utf-8,${encodeURIComponent(source)}`, { type: "module" });
}

export class Attempt {
  #worker;
  /** @type {Worker | undefined} it ends by itself */
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
    this.#worker.onmessage = ({ data }) => this.#hear(data);
    this.#worker.onmessageerror = () => this.#hear({ kind: "failed", text: "sent something unreadable" });
    this.#worker.onerror = (event) => {
      event.preventDefault();
      this.#hear({ kind: "failed", text: event.message || "was refused or ended by the browser" });
    };
    if (warm) this.#startWarm(folder);
    else this.#startCold(folder);
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
    this.#unpacker?.terminate();
  }

  /** @param {URL} folder */
  #startWarm(folder) {
    const { port1, port2 } = new MessageChannel();
    this.#unpacker = workerOf(unpackerSource);
    this.#tellUnpacker({ port: port1 }, [port1]);
    this.#unpacker.onerror = (event) => {
      event.preventDefault();
      this.#hear({ kind: "failed", text: event.message || "the unpacker was refused or ended by the browser" });
    };
    this.tell({ kind: "start", port: port2 }, [port2]);
    this.#send(folder, "payload");
    this.#whenRead(folder, "snapshot", ({ snapshot, ...others }) => {
      this.tell({ kind: "files", files: others });
      const { files, given } = sendable({ snapshot });
      this.#tellUnpacker({ packed: /** @type {string} */ (files.snapshot) }, given);
    });
  }

  /** @param {URL} folder */
  #startCold(folder) {
    this.tell({ kind: "start", port: undefined });
    for (const part of COLD) this.#send(folder, part);
  }

  /** @param {ToUnpacker} message @param {Transferable[]} given */
  #tellUnpacker(message, given) {
    this.#unpacker?.postMessage(message, given);
  }

  /** @param {URL} folder @param {Part} part */
  #send(folder, part) {
    this.#whenRead(folder, part, (read) => {
      const { files, given } = sendable(read);
      this.tell({ kind: "files", files }, given);
    });
  }

  /** @param {URL} folder @param {Part} part @param {(files: Awaited<ReturnType<typeof readPart>>) => void} act */
  async #whenRead(folder, part, act) {
    try {
      act(await readPart(folder, part));
    } catch (trouble) {
      const { message, address } = /** @type {UnreadableFile} */ (trouble);
      this.#hear({ kind: "unreadable", text: message, address });
    }
  }
}
