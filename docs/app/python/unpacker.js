// A second worker, which unpacks Python's files while the first one gets ready what it has of them: the two longest parts of a start
// go side by side. It is sent the port that leads to the first one, then packed files, and ends when the last one is through.

import { bytesOf } from "./unpack.js";

/** @import { FromUnpacker, ToUnpacker } from "./messages.js" */

/** @type {MessagePort | undefined} */
let worker;

/** One after the other: each is needed sooner than the next. */
let before = Promise.resolve();

/** @param {FromUnpacker} message @param {Transferable[]} [given] */
function tell(message, given = []) {
  worker?.postMessage(message, given);
}

/** @param {Extract<FromUnpacker, {trouble: string}>["name"]} name @param {import("./messages.js").Packed} packed */
async function unpack(name, packed) {
  try {
    const bytes = await bytesOf(packed);
    tell({ name, bytes }, [bytes.buffer]);
  } catch (trouble) {
    tell({ name, trouble: String(trouble) });
  }
}

self.addEventListener("message", ({ data }) => {
  const message = /** @type {ToUnpacker} */ (data);
  if (message.kind === "port") worker = message.port;
  else if (message.kind === "unpack") before = before.then(() => unpack(message.name, message.packed));
  else before.then(() => self.close());
});
