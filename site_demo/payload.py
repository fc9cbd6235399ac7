"""Pack Python for the browser into classic scripts, the only kind that file:// lets a page read.

Each script adds to one global, with everything as text: base64 of gzip, so that no byte is lost whatever
character set the browser assumes, and the file is about as small as it gets without a server.

    python-payload.js   pyodide: what every start needs
    python-snapshot.js  Python's memory with the program loaded, for a quick start
    python-library.js   the standard library, and
    python-program.js   the program, for a start without the snapshot
    python.json         the name of the program, for the pages' scripts: they take no other

The first and the third change only with pyodide, so an update of the site seldom brings them.
"""

import base64
import gzip
import json
import tempfile
from collections.abc import Mapping
from pathlib import Path

from site_demo.reached import module_names, reached
from site_demo.setup_env import NODE_MODULES, node_environment, run
from site_demo.stamps import ROOT, WORK, digest, files_under, is_fresh, mark

PYODIDE = NODE_MODULES / "pyodide"
LIBRARY = PYODIDE / "python_stdlib.zip"
HERE = Path(__file__).parent
COMPILER = HERE / "compile_python.mjs"
PHOTOGRAPHER = HERE / "snapshot.mjs"
SCRIPTS_OF = ("payload", "snapshot", "library", "program")


def compile_to_zip(source: Path, target: Path) -> None:
    """Compile a package's folder or a zip of sources with pyodide itself."""
    run(
        ["node", COMPILER, source, target],
        f"Mend the file of {source.name} that it names.",
        env=node_environment(),
    )


def compiled_library() -> Path:
    """Zip of the compiled standard library; made once for each version of pyodide."""
    target = WORK / LIBRARY.name
    stamp, made_from = WORK / "stamps" / target.name, digest([LIBRARY, COMPILER])
    if not (is_fresh(stamp, made_from) and target.exists()):
        compile_to_zip(LIBRARY, target)
        mark(stamp, made_from)
    return target


def snapshot(program: Path, compiled: Path, requests: list[str], work: Path) -> bytes:
    """Python's memory after the package was imported, all that its `browser` reaches, and has answered the requests.

    It is compiled first, both library and program: what a compiler leaves behind would make the snapshot a tenth larger.
    """
    plan, target = work / "plan.json", work / "snapshot.bin"
    modules = reached(program, module_names(program, "browser"))
    plan.write_text(json.dumps({"modules": modules, "requests": requests}), encoding="utf-8")
    run(
        ["node", PHOTOGRAPHER, compiled_library(), compiled, plan, target],
        "Mend what it names: a module that does not load, or a request that has no answer.",
        env=node_environment(),
    )
    return target.read_bytes()


def reach_of(picture: bytes) -> int:
    """How many bytes at the memory's beginning are kept less what the wasm puts there: told apart, since it is needed first."""
    return int.from_bytes(picture[12:16], "little")


def packed(data: bytes) -> str:
    """Base64 of gzip; the same bytes always give the same text."""
    return base64.b64encode(gzip.compress(data, compresslevel=9, mtime=0)).decode("ascii")


def lock_without_packages() -> str:
    """Pyodide's lock file, emptied: the project has no package but its own."""
    lock = json.loads((PYODIDE / "pyodide-lock.json").read_text(encoding="utf-8"))
    return json.dumps({**lock, "packages": {}}, separators=(",", ":"))


def script_text(parts: Mapping[str, str | int]) -> str:
    """The script that adds these parts to the payload."""
    return f"Object.assign(globalThis.spillmarkPython??={{}},{json.dumps(parts)});\n"


def pack(program: Path, folder: Path, *, name: str, requests: list[str]) -> None:
    """Write the scripts for a program, the folder of its package, known by a name and warmed by requests."""
    with tempfile.TemporaryDirectory() as made:
        work = Path(made)
        compiled = work / "program.zip"
        compile_to_zip(program, compiled)
        picture = snapshot(program, compiled, requests, work)
        parts: dict[str, dict[str, str | int]] = {
            "payload": {
                "pyodide": json.loads((PYODIDE / "package.json").read_text(encoding="utf-8"))["version"],
                "lock": lock_without_packages(),
                "wasm": packed((PYODIDE / "pyodide.asm.wasm").read_bytes()),
                "asm": packed((PYODIDE / "pyodide.asm.mjs").read_bytes()),
            },
            "snapshot": {"snapshot": packed(picture), "snapshotOf": name, "snapshotReach": reach_of(picture)},
            "library": {"stdlib": packed(LIBRARY.read_bytes())},
            "program": {"calc": packed(compiled.read_bytes()), "calcOf": name},
        }
    folder.mkdir(parents=True, exist_ok=True)
    for script in SCRIPTS_OF:
        (folder / f"python-{script}.js").write_text(script_text(parts[script]), encoding="ascii")
    (folder / "python.json").write_text(json.dumps({"program": name}), encoding="ascii")


def warming() -> list[str]:
    """What the worksheet asks when it opens the demo: asked once at build, it need not be worked out afresh on a ship."""
    # A fresh interpreter each time: whoever serves the site has long loaded an older `calc`.
    from calc.job.form import spread
    from calc.job.opening import opened

    text = min((HERE / "jobs").glob("*.json")).read_text(encoding="utf-8")
    base = opened(text)
    form = {"texts": spread(base), "base": base, "holds": 0}
    blank = {"texts": {}, "base": {}, "holds": 0}
    asked = [
        {"do": "hello"},
        {"do": "assess", **blank, "first": None},
        {"do": "open_file", "text": text},
        {"do": "assess", **form, "first": None},
    ]
    return [json.dumps(each) for each in asked]


def write_payload(folder: Path) -> None:
    """Write the scripts with `calc` for the site, where something in them has changed."""
    sources = [
        *files_under(ROOT / "calc", ".py"),
        *files_under(HERE / "jobs"),
        ROOT / "package-lock.json",
        *HERE.glob("*.mjs"),
        Path(__file__),
        HERE / "reached.py",
    ]
    stamp, made_from = WORK / "stamps" / "python-payload", digest(sources)
    names = [*(f"python-{script}.js" for script in SCRIPTS_OF), "python.json"]
    if is_fresh(stamp, made_from) and all((folder / name).exists() for name in names):
        return
    pack(ROOT / "calc", folder, name=made_from[:16], requests=warming())
    mark(stamp, made_from)
