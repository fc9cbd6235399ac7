// The page of these tests: Python and what it said, where the tests can reach them.
import { PythonTrouble, startPython } from "../../../docs/app/python/client.js";

globalThis.phases = [];
globalThis.python = startPython({ onPhase: (progress) => globalThis.phases.push(progress) });

/** What came of a promise, as plain data. */
globalThis.outcome = (promise) => promise.then(
  (value) => ({ value }),
  (trouble) => ({ trouble: trouble.message, detail: trouble.detail, known: trouble instanceof PythonTrouble }),
);
