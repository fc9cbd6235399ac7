"""Build the site with the other builders of MkDocs sites, and say what comes out different.

    python -m site_demo.other_builders            write tests/measured/other-builders.json
    python -m site_demo.other_builders --report   say it, and always end well: for CI

MkDocs and its theme no longer grow. While mkdocs.yml keeps to what these builders read, there is a way out.
"""

import argparse
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from site_demo import measured
from site_demo.build import DOCS, SITE
from site_demo.measured import Figure
from site_demo.pages import PageError, finish
from site_demo.setup_env import SetupError, install_apart
from site_demo.stamps import ROOT, WORK
from tests.docs.article import pieces
from tests.pages import built

# Each with the arguments that build the site; both read mkdocs.yml where they stand.
BUILDERS = {"properdocs": ("build", "--strict"), "zensical": ("build", "--strict")}
NAMES = {"properdocs": "ProperDocs", "zensical": "Zensical"}
# MkDocs takes seconds. CI must not wait for a builder that hangs.
TIMEOUT_S = 60
POLICY = "Content-Security-Policy"
# A theme may show a page's search words, which ours keeps to the search.
TAGS = re.compile(r'<nav class="md-tags".*?</nav>', re.DOTALL)
# How many of each kind of difference are told.
MOST_TOLD = 5


@dataclass(frozen=True)
class Outcome:
    """What one builder made of the site. trouble: why there is none; the rest counts pages, or names a few of them."""

    version: str
    trouble: str = ""
    pages: int = 0
    missing: tuple[str, ...] = ()
    reworded: tuple[str, ...] = ()
    without_policy: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()
    tagged: int = 0
    unfinished: str = ""


def built_by(builder: str, folder: Path) -> Outcome:
    """Let one builder build a copy of the pages in a folder of its own, and compare.

    Parameters: builder: its command; folder: where to; what is there goes.
    """
    try:
        command = install_apart(builder) / builder
    except SetupError as trouble:
        return Outcome("", f"it cannot be installed: {str(trouble).splitlines()[-1]}")
    version = _run([command, "--version"], ROOT).stdout.strip().split()
    named = next((word.rstrip(",") for word in version if word[:1].isdigit()), "")
    shutil.rmtree(folder, ignore_errors=True)
    # Links to the same files: Python's payload is large.
    shutil.copytree(DOCS, folder / "docs", copy_function=os.link)
    shutil.copy(ROOT / "mkdocs.yml", folder)
    try:
        done = _run([command, *BUILDERS[builder], "--config-file", "mkdocs.yml"], folder)
    except subprocess.TimeoutExpired:
        return Outcome(named, f"it was not ready after {TIMEOUT_S} s")
    site = folder / "site"
    if done.returncode != 0 or not (site / "index.html").is_file():
        said = (done.stderr or done.stdout).strip().splitlines()
        return Outcome(named, f"it stopped: {said[-1] if said else 'without a word'}")
    return compared(site, SITE, named)


def compared(site: Path, ours: Path, version: str = "") -> Outcome:
    """What differs between two builds of the same pages. Parameters: site: another builder's; ours: MkDocs's, finished."""
    theirs = built.pages(site)
    both = [path for path in built.pages(ours) if path in theirs]
    texts = {path: (site / path).read_text("utf-8") for path in theirs}
    outcome = Outcome(
        version,
        pages=len(theirs),
        missing=tuple(path for path in built.pages(ours) if path not in texts),
        reworded=tuple(path for path in both if _words(texts[path]) != _words((ours / path).read_text("utf-8"))),
        without_policy=tuple(path for path, text in texts.items() if POLICY not in text),
        broken=tuple(built.broken_links(site)),
        tagged=sum(bool(TAGS.search(text)) for text in texts.values()),
    )
    try:
        # Last, since it changes the pages.
        finish(site)
    except PageError as trouble:
        return replace(outcome, unfinished=str(trouble))
    return outcome


def _words(html: str) -> list[str]:
    """What people read on a page; a block of code is wrapped in other ways by each builder and is no words."""
    return [piece.text for piece in pieces("", TAGS.sub("", html)) if set(piece.text.split()) != {"Code"}]


def _run(command: Sequence[str | Path], folder: Path) -> subprocess.CompletedProcess[str]:
    quiet = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}
    return subprocess.run(
        [str(part) for part in command], cwd=folder, env=quiet, capture_output=True, text=True, check=False, timeout=TIMEOUT_S
    )


def figures_of(builder: str, outcome: Outcome) -> list[Figure]:
    """An outcome as figures; none but the first where nothing was built."""
    built_it = Figure(
        f"{builder}_builds", float(not outcome.trouble), "", None, "1 where it built the site, else 0", at_least=1
    )
    if outcome.trouble:
        return [built_it]
    counted = {
        "missing": (outcome.missing, "pages that MkDocs builds and it does not"),
        "reworded": (outcome.reworded, "pages whose text differs from MkDocs's"),
        "without_policy": (outcome.without_policy, "pages without the security policy"),
        "broken_links": (outcome.broken, "links within the site that lead nowhere"),
    }
    return [
        built_it,
        Figure(f"{builder}_pages", outcome.pages, "", None, "pages built"),
        *(Figure(f"{builder}_{name}", len(some), "", 0, how) for name, (some, how) in counted.items()),
    ]


def told_of(builder: str, outcome: Outcome) -> list[str]:
    """What no number says of an outcome."""
    name = f"{NAMES[builder]} {outcome.version}".strip()
    if outcome.trouble:
        return [f"{name} does not build the site: {outcome.trouble.rstrip('.')}."]
    told = [f"{name} builds the site."]
    for what, some in (("missing", outcome.missing), ("other words", outcome.reworded), ("broken", outcome.broken)):
        told += [f"{name}: {what}: {each}." for each in some[:MOST_TOLD]]
    if outcome.tagged:
        told.append(f"{name}: {outcome.tagged} pages show their search words, which MkDocs's theme keeps to the search.")
    if outcome.unfinished:
        told.append(f"{name}: the last step of our build does not fit its pages yet. It says: `{outcome.unfinished}`")
    return told


def main() -> int:
    """Build with each, tell, keep. Returns: 1 where one does not build, or builds something else."""
    parser = argparse.ArgumentParser(description="Build the site with other builders.")
    parser.add_argument("--report", action="store_true", help="keep no report, and end well whatever comes out")
    options = parser.parse_args()
    outcomes = {builder: built_by(builder, WORK / "other-builders" / builder) for builder in BUILDERS}
    figures = [figure for builder, outcome in outcomes.items() for figure in figures_of(builder, outcome)]
    told = [text for builder, outcome in outcomes.items() for text in told_of(builder, outcome)]
    for line in (*figures, *told):
        print(line)
    if options.report:
        return 0
    measured.keep("other-builders", "Other builders of the site", figures, command="make other-builders", told=told)
    return int(any(figure.missed for figure in figures))


if __name__ == "__main__":
    sys.exit(main())
