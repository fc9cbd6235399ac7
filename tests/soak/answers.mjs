// The same in pyodide, outside a browser: node answers.mjs ROOT QUESTIONS.json OUT.json
import { loadPyodide } from "pyodide";

const [root, questions, out] = process.argv.slice(2);
const pyodide = await loadPyodide();
pyodide.FS.mkdir("/root");
pyodide.mountNodeFS("/root", root);
pyodide.FS.mkdir("/asked");
pyodide.globals.set("root", "/root");
const { readFileSync, writeFileSync } = await import("node:fs");
pyodide.globals.set("text", readFileSync(questions, "utf8"));
const told = pyodide.runPython(`
import json, sys
sys.path.insert(0, root)
sys.path.insert(0, root + "/tests/soak")
from answers import answers
json.dumps({"python": sys.version.split()[0], **answers(json.loads(text))})
`);
writeFileSync(out, told);
