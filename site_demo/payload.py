"""Pack Python for the browser into one classic script, the only kind that file:// lets a page read.

The script sets one global with everything as text: base64 of gzip, so that no byte is lost whatever
character set the browser assumes, and the file is about as small as it gets without a server.
"""

import base64
import gzip
import json
import tempfile
from pathlib import Path

from site_demo.setup_env import NODE_MODULES, node_environment, run
from site_demo.stamps import ROOT, WORK, digest, files_under, is_fresh, mark

PYODIDE = NODE_MODULES / "pyodide"
COMPILER = Path(__file__).with_name("compile_python.mjs")


def compile_to_zip(source: Path, target: Path) -> None:
    """Compile a package's folder or a zip of sources with pyodide itself."""
    run(
        ["node", COMPILER, source, target],
        f"Mend the file of {source.name} that it names.",
        env=node_environment(),
    )


def compiled_stdlib() -> bytes:
    """Zip of the compiled standard library; made once for each version of pyodide."""
    source, target = PYODIDE / "python_stdlib.zip", WORK / "python_stdlib.zip"
    stamp, made_from = WORK / "stamps" / target.name, digest([source, COMPILER])
    if not (is_fresh(stamp, made_from) and target.exists()):
        compile_to_zip(source, target)
        mark(stamp, made_from)
    return target.read_bytes()


def compiled_program(folder: Path) -> bytes:
    """Zip of a compiled package."""
    with tempfile.TemporaryDirectory() as work:
        target = Path(work) / "program.zip"
        compile_to_zip(folder, target)
        return target.read_bytes()


def packed(data: bytes) -> str:
    """Base64 of gzip; the same bytes always give the same text."""
    return base64.b64encode(gzip.compress(data, compresslevel=9, mtime=0)).decode("ascii")


def lock_without_packages() -> str:
    """Pyodide's lock file, emptied: the project has no package but its own."""
    lock = json.loads((PYODIDE / "pyodide-lock.json").read_text(encoding="utf-8"))
    return json.dumps({**lock, "packages": {}}, separators=(",", ":"))


def pack(program: Path, target: Path) -> None:
    """Write a payload's script with pyodide and a program, the folder of its package."""
    payload = {
        "pyodide": json.loads((PYODIDE / "package.json").read_text(encoding="utf-8"))["version"],
        "lock": lock_without_packages(),
        "wasm": packed((PYODIDE / "pyodide.asm.wasm").read_bytes()),
        "asm": packed((PYODIDE / "pyodide.asm.mjs").read_bytes()),
        "stdlib": packed(compiled_stdlib()),
        "calc": packed(compiled_program(program)),
    }
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(f"globalThis.spillmarkPython={json.dumps(payload)};\n", encoding="ascii")


def write_payload(target: Path) -> None:
    """Write the payload with `calc` for the site, where something in it has changed."""
    sources = [*files_under(ROOT / "calc"), ROOT / "package-lock.json", COMPILER, Path(__file__)]
    stamp, made_from = WORK / "stamps" / target.name, digest(sources)
    if is_fresh(stamp, made_from) and target.exists():
        return
    pack(ROOT / "calc", target)
    mark(stamp, made_from)
