// A second worker, which unpacks the snapshot while the first one gets everything else ready: the two longest parts of a start go
// side by side. It is sent the port that leads to the first one, then the packed snapshot, and ends when that is through.

import { bytesOf } from "./unpack.js";

/** @import { FromUnpacker, ToUnpacker } from "./messages.js" */

/** @type {MessagePort | undefined} */
let worker;

/** @param {FromUnpacker} message @param {Transferable[]} [given] */
function tell(message, given = []) {
  worker?.postMessage(message, given);
}

self.addEventListener("message", async ({ data }) => {
  const message = /** @type {ToUnpacker} */ (data);
  if (message.port) {
    worker = message.port;
    return;
  }
  try {
    const snapshot = await bytesOf(message.packed);
    tell({ snapshot }, [snapshot.buffer]);
  } catch (trouble) {
    tell({ trouble: String(trouble) });
  }
  self.close();
});
