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
from typing import Any

from site_demo import measured, oldest
from site_demo.app import CODE, RETIRED_CODE, AppError, write_app
from site_demo.pages import PageError, finish
from site_demo.payload import write_payload
from site_demo.release.delivery import delivery
from site_demo.setup_env import NODE_MODULES, SetupError, node_environment, run
from site_demo.stamps import ROOT, WORK, digest, files_under, is_fresh, mark

DOCS = ROOT / "docs"
GENERATED = DOCS / "generated"
APP = DOCS / "app"
SCRIPTS = GENERATED / "app"
SITE = ROOT / "site"
JOBS = Path(__file__).with_name("jobs")
TESTS = ROOT / "tests"
HISTORY = Path(__file__).with_name("history")
# Unit of the main demo job whose working the pages show: a rod whose correction would spoil the cut-out.
EXAMPLE_UNIT = 3
# Gauge sets of the turning plan that the pages show.
EXAMPLE_SETS = 2
# Unit of the same job that serves the pages on principles: nothing is wrong with it.
SOUND_UNIT = 1

# The drift that the page on trends works out, and what is asked there of the next check.
EXAMPLE_DRIFT = (6, "end")
EXAMPLE_WANTED: dict[str, Any] = {
    "interval_h": 7500.0,
    "now_hours": 22100.0,
    "hours_per_day": 18.5,
    "needs_h": 30.0,
    "calls": ((40.0, 20.0), (190.0, 36.0), (400.0, 60.0)),
}


def write_if_changed(path: Path, text: str) -> None:
    """Leave a file alone that already says this, so that nothing is rebuilt for its sake."""
    if path.is_file() and path.read_text(encoding="utf-8") == text:
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def demo_history() -> str:
    """The demo's past checks as the worksheet holds them, in order of name: name and text of each, without its white space."""
    trees = {path.name: json.loads(path.read_text(encoding="utf-8")) for path in sorted(HISTORY.glob("*.json"))}
    return json.dumps([{"name": name, "text": json.dumps(tree, separators=(",", ":"))} for name, tree in trees.items()])


def demo_jobs() -> str:
    """The demo's jobs as the worksheet holds them, in order of name: the title, and as a text what opening the file gives.

    So nobody who wants to see the demo waits for Python.
    """
    # A fresh interpreter each time: whoever serves the site has long loaded an older `calc`.
    from calc.job.form import spread
    from calc.job.opening import opened

    bases = [opened(path.read_text(encoding="utf-8")) for path in sorted(JOBS.glob("*.json"))]
    return json.dumps(
        [
            {
                "title": base["title"],
                "opened": json.dumps({"texts": {key: text for key, text in spread(base).items() if text}, "base": base}),
            }
            for base in bases
        ]
    )


def check_values() -> list[tuple[str, dict[str, Any], list[str]]]:
    """Every file of check values with its content and the tests that read it, for the page of sources."""
    tests = {path: path.read_text(encoding="utf-8") for path in sorted(TESTS.rglob("test_*.py"))}
    found = []
    for path in sorted((TESTS / "data").glob("*.json")):
        readers = [test for test, text in tests.items() if f'load("{path.stem}")' in text or f'"{path.name}"' in text]
        values = json.loads(path.read_text(encoding="utf-8"))
        found.append((path.stem, values, [test.relative_to(ROOT).as_posix() for test in readers]))
    return found


def generate() -> None:
    """Write what `calc` says about itself (reference pages, schemas, the form's description), and the demo's jobs."""
    # A fresh interpreter each time: whoever serves the site has long loaded an older `calc`.
    from calc.judge.wanted import Wanted
    from calc.show import moving_page, principles, recalls, reference, turning_reference
    from calc.show.look_up.formulas import formulas_page
    from calc.show.look_up.sources import Check, sources_page
    from calc.show.trend_example import trend_example

    example, all_within, *_ = (path.read_text(encoding="utf-8") for path in sorted(JOBS.glob("*.json")))
    pages = {
        **reference.pages(),
        **moving_page.files(),
        "demo-jobs.json": demo_jobs(),
        "demo-history.json": demo_history(),
        "trend-example.md": trend_example(
            {path.name: path.read_text(encoding="utf-8") for path in sorted(HISTORY.glob("*.json"))},
            Wanted(**EXAMPLE_WANTED),
            *EXAMPLE_DRIFT,
        ),
        "worked-example.md": reference.worked_example(example, EXAMPLE_UNIT),
        "turning-example.md": turning_reference.example(all_within, EXAMPLE_SETS),
        "turning-savings.md": turning_reference.savings(all_within, (1, 2, 3)),
        "formulas.md": formulas_page(),
        "recalls.md": recalls.page(),
        "delivery.md": delivery(measured.reports()),
        "measured.md": measured.page(measured.reports()),
        "oldest-browsers.md": oldest.table(),
        "sources.md": sources_page([Check(*each) for each in check_values()]),
        **{f"principles/{name}.md": text for name, text in principles.parts(example, SOUND_UNIT).items()},
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
    """Bundle the scripts of pages, and the one that starts Python, with its worker inside as a text."""
    # A fresh interpreter each time: whoever serves the site has long loaded an older `calc`.
    from calc.version import VERSION

    worker = SCRIPTS / "python-worker.txt"
    # Pyodide asks for Node's own modules only where it runs in Node.
    bundle(APP / "python" / "worker.js", worker, "--format=esm", "--external:node:*", "--external:ws")
    bundle(APP / "python" / "unpacker.js", SCRIPTS / "python-unpacker.txt", "--format=esm")
    bundle(APP / "python" / "start.js", SCRIPTS / "python-start.js", "--format=iife", "--loader:.txt=text")
    version = f"--define:SPILLMARK_VERSION={json.dumps(VERSION)}"
    bundle(APP / "main.js", SCRIPTS / "worksheet.js", "--format=iife", version)
    bundle(APP / "calculator.js", SCRIPTS / "calculator.js", "--format=iife")
    bundle(APP / "lesson.js", SCRIPTS / "lesson.js", "--format=iife")
    bundle(APP / "training.js", SCRIPTS / "training.js", "--format=iife")
    bundle(APP / "model" / "main.js", SCRIPTS / "model.js", "--format=iife")
    bundle(APP / "later.js", SCRIPTS / "later.js", "--format=iife")
    bundle(APP / "menu.js", SCRIPTS / "menu.js", "--format=iife")
    bundle(APP / "practice.js", SCRIPTS / "practice.js", "--format=iife")
    bundle(APP / "serving" / "main.js", SCRIPTS / "serving.js", "--format=iife")
    bundle(APP / "serving" / "app.js", SCRIPTS / "serving-app.js", "--format=iife")
    bundle(APP / "serving" / "worker" / "main.js", CODE, "--format=iife")
    bundle(APP / "serving" / "worker" / "retire.js", RETIRED_CODE, "--format=iife")
    first = f"--define:SPILLMARK_OLDEST={json.dumps(oldest.sentence())}"
    bundle(APP / "first.js", SCRIPTS / "first.js", "--format=iife", "--target=es5", first)
    for name in ("iframe-worker.js", "iframe-inside.js"):
        bundle(APP / "search" / name, SCRIPTS / name, "--format=iife")


def slim(folder: Path) -> None:
    """Take what only people read out of the style sheets: every page loads some of them."""
    for sheet in sorted(folder.glob("*.css")):
        bundle(sheet, sheet, "--allow-overwrite", "--log-override:css-syntax-error=error")


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
    slim(new / "stylesheets")
    # Last: it lists every file as it is.
    write_app(new)
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
        # First, since the bundles name the program that belongs to them.
        write_payload(SCRIPTS)
        bundle_scripts()
        build_pages()


def main() -> int:
    """Build, or say what stopped it."""
    try:
        build()
    except (SetupError, PageError, AppError) as trouble:
        print(f"build: {trouble}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
