"""Pack Python for the browser into one classic script, the only kind that file:// lets a page read.

The script sets one global with everything as text: base64 of gzip, so that no byte is lost whatever
character set the browser assumes, and the file is about as small as it gets without a server.
"""

import base64
import gzip
import json
from pathlib import Path

from site_demo.setup_env import NODE_MODULES, node_environment, run
from site_demo.stamps import ROOT, WORK, digest, files_under, is_fresh, mark

PYODIDE = NODE_MODULES / "pyodide"
COMPILER = Path(__file__).with_name("compile_python.mjs")


def compile_to_zip(source: Path, target: Path, made_from: str) -> None:
    """Compile a package's folder or a zip of sources with pyodide itself, where it has changed."""
    stamp = WORK / "stamps" / target.name
    if is_fresh(stamp, made_from) and target.exists():
        return
    run(
        ["node", COMPILER, source, target],
        f"Mend the file of {source.name} that it names.",
        env=node_environment(),
    )
    mark(stamp, made_from)


def packed(data: bytes) -> str:
    """Base64 of gzip; the same bytes always give the same text."""
    return base64.b64encode(gzip.compress(data, compresslevel=9, mtime=0)).decode("ascii")


def lock_without_packages() -> str:
    """Pyodide's lock file, emptied: the project has no package but its own."""
    lock = json.loads((PYODIDE / "pyodide-lock.json").read_text(encoding="utf-8"))
    return json.dumps({**lock, "packages": {}}, separators=(",", ":"))


def write_payload(target: Path) -> None:
    """Write the payload's script, where something in it has changed."""
    version = json.loads((PYODIDE / "package.json").read_text(encoding="utf-8"))["version"]
    makers = [COMPILER, Path(__file__)]
    stdlib, calc = WORK / "python_stdlib.zip", WORK / "calc.zip"
    compile_to_zip(PYODIDE / stdlib.name, stdlib, digest(makers, version))
    sources = files_under(ROOT / "calc")
    compile_to_zip(ROOT / "calc", calc, digest([*sources, *makers], version))

    stamp, made_from = WORK / "stamps" / target.name, digest([stdlib, calc, *makers], version)
    if is_fresh(stamp, made_from) and target.exists():
        return
    payload = {
        "pyodide": version,
        "lock": lock_without_packages(),
        "wasm": packed((PYODIDE / "pyodide.asm.wasm").read_bytes()),
        "asm": packed((PYODIDE / "pyodide.asm.mjs").read_bytes()),
        "stdlib": packed(stdlib.read_bytes()),
        "calc": packed(calc.read_bytes()),
    }
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(f"globalThis.spillmarkPython={json.dumps(payload)};\n", encoding="ascii")
    mark(stamp, made_from)
