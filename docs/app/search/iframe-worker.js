// The theme searches in a worker. Three things have to be different here:
// - on file:// a browser starts no worker from a file, so its script runs in a hidden frame instead,
//   started by script files alone, so that the content security policy need not allow inline scripts;
// - nobody should pay for a search on a page where nobody searches: the script is loaded when the
//   search field is first used, and what the theme said before that waits;
// - a word with a slip in it is asked for once more (mend.js).
// Module workers (Python's) stay the browser's own. The theme's offline plugin looks for the name of
// this file and then leaves its own remedy out, which would be fetched from a foreign host.

import { Mend } from "./mend.js";

const NativeWorker = window.Worker;
const inside = new URL("iframe-inside.js", /** @type {HTMLScriptElement} */ (document.currentScript).src).href;

/**
 * Run a worker's script in a frame. The frame finds its owner at its own element.
 * @param {string} address
 * @param {SearchWorker} owner
 * @returns {Promise<(data: unknown) => void>} hands a message to the script
 */
function startFrame(address, owner) {
  return new Promise((resolve) => {
    const frame = document.createElement("iframe");
    frame.hidden = true;
    document.body.append(Object.assign(frame, { owner }));
    const view = /** @type {Window} */ (frame.contentWindow);
    view.document.open();
    for (const src of [inside, address]) {
      const script = view.document.createElement("script");
      script.src = src;
      view.document.write(script.outerHTML);
    }
    view.document.close();
    // Only now: opening a document forgets the listeners of its window.
    view.onload = () => resolve((data) => view.dispatchEvent(new MessageEvent("message", { data })));
  });
}

/**
 * @param {string} address
 * @param {SearchWorker} owner
 * @returns {Promise<(data: unknown) => void>}
 */
async function startNative(address, owner) {
  const worker = new NativeWorker(address);
  worker.onmessage = ({ data }) => owner.say(data);
  return (data) => worker.postMessage(data);
}

/** Looks like a worker to the theme, and becomes one when the search field is first used. */
class SearchWorker extends EventTarget {
  /** @type {Promise<(data: unknown) => void>} */
  #post;
  #mend = new Mend();

  /** @param {string | URL} address */
  constructor(address) {
    super();
    const start = location.protocol === "file:" ? startFrame : startNative;
    this.#post = new Promise((resolve) => {
      const field = document.querySelector("[data-md-component=search-query]");
      const begin = () => resolve(start(String(address), this));
      if (!field || document.activeElement === field) begin();
      else field.addEventListener("focus", begin, { once: true });
    });
  }

  /** @param {unknown} data what the script says */
  say(data) {
    const instead = this.#mend.answered(data);
    if (instead) this.#post.then((post) => post(instead));
    else this.dispatchEvent(new MessageEvent("message", { data }));
  }

  /** @param {unknown} data */
  postMessage(data) {
    this.#mend.asked(data);
    this.#post.then((post) => post(data));
  }
}

window.Worker = /** @type {typeof Worker} */ (/** @type {unknown} */ (
  /**
   * @this {unknown}
   * @param {string | URL} address
   * @param {WorkerOptions} [options]
   */
  function (address, options) {
    return options?.type === "module" ? new NativeWorker(address, options) : new SearchWorker(address);
  }
));
