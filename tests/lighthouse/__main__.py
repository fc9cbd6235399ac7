"""Lighthouse on every built page, served over http: `python -m tests.lighthouse`.

It audits, prints a line a page, and keeps the report. Its packages are large and serve nothing else, so they have a folder and
a lock of their own, and only `make lighthouse` installs them.
It can be broken off: pages audited since the site was built are not audited again.
"""

import argparse
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from site_demo.measured import MEASURED, Figure, keep
from site_demo.setup_env import SetupError, node_environment, run, say
from site_demo.stamps import WORK, digest, files_under, is_fresh, mark
from tests.pages import built, finding
from tests.pages.served import served

HERE = Path(__file__).parent
AUDITED = WORK / "lighthouse"
CATEGORIES = ("accessibility", "best-practices")
# The top of Lighthouse's scale. Nothing less is accepted.
FULL = 100

Result = dict[str, Any]


def install() -> None:
    """Install Lighthouse as it is pinned."""
    stamp, wanted = HERE / "node_modules" / ".stamp", digest([HERE / "package.json", HERE / "package-lock.json"])
    if is_fresh(stamp, wanted):
        return
    say("installing Lighthouse")
    run(
        ["npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--prefix", HERE],
        "Check the network connection to the npm registry, then try again.",
        env=node_environment(),
    )
    mark(stamp, wanted)


def audit(site: Path, pages: list[str]) -> Iterator[Result]:
    """The scores of each page, as they become known."""
    program = [finding.node(), str(HERE / "audit.mjs"), finding.chromium("")]
    flags = ["--no-sandbox"] if finding.is_root() else []
    with (
        served(site) as base,
        subprocess.Popen([*program, *flags], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as lighthouse,
    ):
        assert lighthouse.stdin is not None
        assert lighthouse.stdout is not None
        for path in pages:
            lighthouse.stdin.write(f"{base}{path}\n")
            lighthouse.stdin.flush()
            line = lighthouse.stdout.readline()
            if not line:
                raise SetupError(f"Lighthouse ended at {path}; what it said stands above.")
            yield {**json.loads(line), "path": path}


def told(results: list[Result]) -> Iterator[str]:
    """Which pages are below full score, and why."""
    for category in CATEGORIES:
        low = [each for each in results if each[category]["score"] < FULL]
        yield (
            f"Below {FULL} in {category}: "
            + "; ".join(f"`{each['path']}` ({', '.join(one['id'] for one in each[category]['failed'])})" for each in low)
            + "."
            if low
            else f"No page is below {FULL} in {category}."
        )


def figures(results: list[Result]) -> Iterator[Figure]:
    """The lowest score of each category, and over how many pages."""
    version = results[0]["version"]
    yield Figure("pages", len(results), "", None, "built pages, each served over http and audited alone")
    for category in CATEGORIES:
        yield Figure(
            f"{category.replace('-', '_')}_lowest",
            min(each[category]["score"] for each in results),
            "",
            None,
            f"lowest score of all pages, Lighthouse {version}, as on a phone",
            at_least=FULL,
        )


def main() -> int:
    """Audit what is not audited yet; once every page is, keep the report. Ends with 1 where a page is below full score."""
    parser = argparse.ArgumentParser(prog="python -m tests.lighthouse", description=__doc__)
    parser.add_argument("--most", type=int, default=sys.maxsize, metavar="N", help="audit N pages more at most")
    parser.add_argument("--keep-in", type=Path, default=MEASURED, metavar="FOLDER")
    options = parser.parse_args()
    try:
        site = built.folder()
        install()
        done = AUDITED / f"{digest(files_under(site))}.json"
        results: list[Result] = json.loads(done.read_text("utf-8")) if done.is_file() else []
        pages = built.pages(site)
        left = sorted(set(pages) - {each["path"] for each in results})
        AUDITED.mkdir(parents=True, exist_ok=True)
        for result in audit(site, left[: options.most]):
            results.append(result)
            done.write_text(json.dumps(results), "utf-8")
            print(result["path"], *(f"{result[category]['score']:.0f}" for category in CATEGORIES), flush=True)
            for failed in (one for category in CATEGORIES for one in result[category]["failed"]):
                print(f"  {failed['id']}: {failed['title']}", *failed["where"], sep="\n    ", flush=True)
    except (finding.Missing, SetupError) as trouble:
        print(trouble, file=sys.stderr)
        return 1
    if len(results) < len(pages):
        print(f"{len(results)} of {len(pages)} pages are audited. Go on with the same command.")
        return 0
    measured = list(figures(results))
    print(*measured, sep="\n")
    keep(
        "lighthouse",
        "Accessibility and good practice of every page",
        measured,
        command="make lighthouse",
        told=told(results),
        folder=options.keep_in,
    )
    return int(any(each.missed for each in measured))


if __name__ == "__main__":
    sys.exit(main())
