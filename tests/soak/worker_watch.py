"""Keep hold of the worksheet's worker: ask it beside the page, end it, see how much memory its Python has."""

# Put before the worker's own source: it tells how large the memory of its WebAssembly is, and how much of it is in use once
# Python has collected its garbage. C's `mallinfo` writes ten numbers; the eighth counts the bytes that are given out.
_INSIDE = """{
const { instantiate } = WebAssembly;
let memory, own;
WebAssembly.instantiate = async (...given) => {
  const made = await instantiate.apply(WebAssembly, given);
  const { exports } = made.instance ?? made;
  if ("mallinfo" in exports) own ??= exports;
  memory ??= Object.values(exports).find((each) => each instanceof WebAssembly.Memory)
    ?? Object.values(given[1] ?? {}).flatMap((each) => Object.values(each)).find((each) => each instanceof WebAssembly.Memory);
  return made;
};
self.addEventListener("message", (event) => {
  if (event.data.kind !== "size") return;
  // It is nothing that the worker knows.
  event.stopImmediatePropagation();
  own.PyGC_Collect();
  const place = own.malloc(40);
  own.mallinfo(place);
  const used = new Uint32Array(memory.buffer, place, 10)[7];
  own.free(place);
  self.postMessage({ kind: "size", bytes: memory.buffer.byteLength, used });
});
}
"""

# For `run_before_pages`. The page starts its worker as always, and does not notice.
WATCH = (
    """
globalThis.workers = [];
globalThis.answered = 0;
globalThis.Worker = new Proxy(Worker, { construct(kind, [address, ...others]) {
  const [head, source] = [address.slice(0, address.indexOf(",") + 1), address.slice(address.indexOf(",") + 1)];
  const worker = new kind(head + encodeURIComponent(INSIDE) + source, ...others);
  worker.addEventListener("message", ({ data }) => {
    // What the page asks has numbers above 0.
    if (data.kind === "answer" && data.id > 0) globalThis.answered++;
  });
  workers.push(worker);
  return worker;
} });

/** Ask it beside the page. */
globalThis.askWorker = (texts) => new Promise((resolve) => {
  const worker = workers.at(-1);
  const answers = [];
  const hear = ({ data }) => {
    if (!(data.id < 0)) return;
    answers.push(data.kind === "answer" ? data.text : `${data.kind}: ${data.text}`);
    if (answers.length < texts.length) return;
    worker.removeEventListener("message", hear);
    resolve(answers);
  };
  worker.addEventListener("message", hear);
  texts.forEach((text, at) => worker.postMessage({ kind: "ask", id: -1 - at, text }));
});

/** The bytes of its memory, and how many of them are in use. */
globalThis.workerBytes = () => new Promise((resolve, reject) => {
  const worker = workers.at(-1);
  const hear = ({ data }) => {
    if (data.kind !== "size") return;
    worker.removeEventListener("message", hear);
    resolve([data.bytes, data.used]);
  };
  worker.addEventListener("message", hear);
  worker.postMessage({ kind: "size" });
  setTimeout(() => reject(new Error("the worker does not say how large it is")), 30_000);
});

/** End it in the middle of whatever it does. The page is told as a browser tells it. */
globalThis.killWorker = () => {
  const worker = workers.at(-1);
  worker.terminate();
  worker.dispatchEvent(new ErrorEvent("error", { message: "ended from outside", cancelable: true }));
};
"""
).replace("INSIDE", "`" + _INSIDE.replace("\\", "\\\\").replace("`", "\\`") + "`")
