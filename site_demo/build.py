"""Build the site: generated pages, the worksheet's script, Python's payload, then MkDocs.

    python -m site_demo.build

Every step is skipped while nothing that it reads has changed.
"""

import fcntl
import json
import os
import shutil
import sys
from pathlib import Path

from site_demo.pages import PageError, finish
from site_demo.payload import write_payload
from site_demo.setup_env import NODE_MODULES, SetupError, node_environment, run
from site_demo.stamps import ROOT, WORK, digest, files_under, is_fresh, mark

DOCS = ROOT / "docs"
GENERATED = DOCS / "generated"
APP = DOCS / "app"
SCRIPTS = GENERATED / "app"
SITE = ROOT / "site"
JOBS = Path(__file__).with_name("jobs")
# Unit of the main demo job whose working the pages show: a rod whose correction would spoil the cut-out.
EXAMPLE_UNIT = 3


def write_if_changed(path: Path, text: str) -> None:
    """Leave a file alone that already says this, so that nothing is rebuilt for its sake."""
    if path.is_file() and path.read_text(encoding="utf-8") == text:
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def demo_jobs() -> str:
    """The demo's job files as the worksheet holds them, in order of name: title and text of each."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(JOBS.glob("*.json"))]
    return json.dumps([{"title": json.loads(text)["title"], "text": text} for text in texts])


def generate() -> None:
    """Write what `calc` says about itself (reference pages, schemas, the form's description), and the demo's jobs."""
    # A fresh interpreter each time: whoever serves the site has long loaded an older `calc`.
    from calc.show import reference

    example = min(JOBS.glob("*.json")).read_text(encoding="utf-8")
    pages = {
        **reference.pages(),
        "demo-jobs.json": demo_jobs(),
        "worked-example.md": reference.worked_example(example, EXAMPLE_UNIT),
    }
    for name, text in pages.items():
        write_if_changed(GENERATED / name, text)
    wanted = {GENERATED / name for name in pages}
    for path in files_under(GENERATED):
        if path not in wanted and SCRIPTS not in path.parents:
            path.unlink()


def bundle(source: Path, target: Path, *options: str) -> None:
    """Bundle a module and what it imports into one file."""
    run(
        [
            NODE_MODULES / ".bin" / "esbuild", source, "--bundle", "--minify", "--target=es2022",
            "--log-level=warning", f"--outfile={target}", *options,
        ],
        f"Mend {source.relative_to(ROOT)} or what it imports.",
        env=node_environment(),
    )  # fmt: skip


def bundle_scripts() -> None:
    """Bundle the pages' scripts (those that calculate with the Python worker inside, as a text) and the search scripts."""
    worker = SCRIPTS / "python-worker.txt"
    # Pyodide asks for Node's own modules only where it runs in Node.
    bundle(APP / "python" / "worker.js", worker, "--format=esm", "--external:node:*", "--external:ws")
    bundle(APP / "main.js", SCRIPTS / "worksheet.js", "--format=iife", "--loader:.txt=text")
    bundle(APP / "calculator.js", SCRIPTS / "calculator.js", "--format=iife", "--loader:.txt=text")
    bundle(APP / "practice.js", SCRIPTS / "practice.js", "--format=iife", "--loader:.txt=text")
    for name in ("iframe-worker.js", "iframe-inside.js"):
        bundle(APP / "search" / name, SCRIPTS / name, "--format=iife")


def build_pages() -> None:
    """Let MkDocs build the site beside the old one, finish it, and put it in its place."""
    inputs = [path for path in files_under(DOCS) if APP not in path.parents]
    makers = [
        ROOT / "mkdocs.yml",
        ROOT / "requirements" / "site.txt",
        *Path(__file__).parent.glob("*.py"),
    ]
    stamp, made_from = WORK / "stamps" / "site", digest([*inputs, *makers])
    if is_fresh(stamp, made_from) and (SITE / "index.html").exists():
        return
    new, old = WORK / "site", WORK / "site.old"
    run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--site-dir", new],
        "Mend the page that it names.",
        # The theme's notice about its future; DEVELOPERS.md says what the project does about it.
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
    )
    finish(new)
    shutil.rmtree(old, ignore_errors=True)
    if SITE.exists():
        SITE.rename(old)
    new.rename(SITE)
    shutil.rmtree(old, ignore_errors=True)
    mark(stamp, made_from)


def build() -> None:
    """Build everything that is out of date."""
    WORK.mkdir(exist_ok=True)
    # Tests and the server may ask at the same time; the second waits and then finds all done.
    with (WORK / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        generate()
        bundle_scripts()
        write_payload(SCRIPTS / "python-payload.js")
        build_pages()


def main() -> int:
    """Build, or say what stopped it."""
    try:
        build()
    except (SetupError, PageError) as trouble:
        print(f"build: {trouble}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
