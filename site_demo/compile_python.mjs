// Turns Python sources into a zip of compiled modules, with the very Python that will run them in
// the browser. Compiled once here, nothing has to be compiled while somebody waits for the page.
//
//     node site_demo/compile_python.mjs PACKAGE_FOLDER_OR_ZIP OUT.zip
//
// Compiled files are of the "unchecked hash" kind: Python takes them as they are, looks for no
// source and at no date. They stand where a source would stand, as Python expects without sources.
// They are without docstrings, which are for people, and without the numbers of lines: a page tells the last line of what Python
// says, and there are no sources beside it. The lines alone made what everybody downloads 1.4 MB larger.
// Entries are stored, not compressed: the whole payload is compressed once more from outside.

import { statSync, writeFileSync } from "node:fs";
import { basename, dirname, resolve } from "node:path";

import { loadPyodide } from "pyodide";

const COMPILE = `
import importlib._bootstrap_external as external
import importlib.util, io, pathlib, zipfile

def sources():
    path = pathlib.Path("/source", name)
    if path.is_dir():
        for file in sorted(path.rglob("*")):
            if file.is_file() and "__pycache__" not in file.parts:
                yield str(file.relative_to("/source")), file.read_bytes()
        return
    with zipfile.ZipFile(path) as archive:
        for entry in archive.infolist():
            if not entry.is_dir():
                yield entry.filename, archive.read(entry)

def without_lines(code):
    # One entry says of up to eight instructions that they have no place in a source.
    units = len(code.co_code) // 2
    nowhere = bytes(0x80 | 15 << 3 | min(units - at, 8) - 1 for at in range(0, units, 8))
    inner = (without_lines(each) if isinstance(each, type(code)) else each for each in code.co_consts)
    return code.replace(co_linetable=nowhere, co_consts=tuple(inner))

out = io.BytesIO()
with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
    for path, data in sources():
        if path.endswith(".py"):
            code = compile(data, path, "exec", dont_inherit=True, optimize=2)
            code = without_lines(code)
            path += "c"
            data = external._code_to_hash_pyc(code, importlib.util.source_hash(data), False)
        # A fixed date: the same sources give the same bytes.
        archive.writestr(zipfile.ZipInfo(path, (2020, 1, 1, 0, 0, 0)), data)
out.getvalue()
`;

const [source, target] = process.argv.slice(2).map((path) => resolve(path));
statSync(source);
try {
  const pyodide = await loadPyodide();
  pyodide.FS.mkdir("/source");
  pyodide.mountNodeFS("/source", dirname(source));
  pyodide.globals.set("name", basename(source));
  writeFileSync(target, pyodide.runPython(COMPILE).toJs());
} catch (trouble) {
  // Only the message: a stack trace here would print all of pyodide's one-line source.
  console.error(trouble instanceof Error ? trouble.message : trouble);
  process.exit(1);
}
