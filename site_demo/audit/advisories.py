"""Known flaws of the pinned parts, as the registries' advisory services tell them."""

import json
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from site_demo.audit.licences import pins_of
from site_demo.setup_env import REQUIREMENTS, node_environment
from site_demo.stamps import ROOT

# A service that does not answer must not hold anybody up.
TIMEOUT_S = 120


@dataclass(frozen=True)
class Advisories:
    """What a service said. asked: parts that it answered for; unanswered: parts of which it did not; flaws: a line each."""

    asked: int = 0
    unanswered: int = 0
    flaws: tuple[str, ...] = field(default=())


def of_python(commands: Path, locks: Sequence[str]) -> Advisories:
    """Ask PyPI about every pin. Parameters: commands: the folder with `pip-audit`; locks: names of groups."""
    trees = []
    for lock in locks:
        options = ["--disable-pip", "--require-hashes", "--progress-spinner", "off", "--format", "json"]
        said = _run([commands / "pip-audit", *options, "-r", REQUIREMENTS / f"{lock}.txt"])
        pins = pins_of(REQUIREMENTS / f"{lock}.txt")
        trees.append(said or {"dependencies": [{"name": name, "skip_reason": "no answer"} for name in pins]})
    return told_by_pip_audit(trees)


def told_by_pip_audit(trees: Sequence[dict[str, Any]]) -> Advisories:
    """Read its reports. It calls a part without an answer skipped, and still says that nothing is known against any."""
    asked, unanswered, flaws = set(), set(), set()
    for tree in trees:
        for part in tree["dependencies"]:
            if "skip_reason" in part:
                unanswered.add(part["name"])
                continue
            asked.add(part["name"])
            for flaw in part["vulns"]:
                mended = ", ".join(flaw["fix_versions"]) or "no version yet"
                flaws.add(f"{part['name']} {part['version']}: {flaw['id']}, mended in {mended}")
    return Advisories(len(asked), len(unanswered), tuple(sorted(flaws)))


def of_node() -> Advisories:
    """Ask npm about everything in package-lock.json."""
    packages = json.loads((ROOT / "package-lock.json").read_text("utf-8"))["packages"]
    return told_by_npm(_run(["npm", "audit", "--json", "--package-lock-only"]), len(packages) - 1)


def told_by_npm(tree: dict[str, Any] | None, pinned: int) -> Advisories:
    """Read its report; without the list of flaws it is no answer, whatever else it holds."""
    if tree is None or "vulnerabilities" not in tree:
        return Advisories(unanswered=pinned)
    flaws = tuple(f"{name}: {flaw['severity']}, {flaw['range']}" for name, flaw in sorted(tree["vulnerabilities"].items()))
    return Advisories(asked=pinned, flaws=flaws)


def _run(command: Sequence[str | Path]) -> dict[str, Any] | None:
    try:
        done = subprocess.run(
            [str(part) for part in command],
            cwd=ROOT,
            env=node_environment(),
            capture_output=True,
            text=True,
            check=False,
            timeout=TIMEOUT_S,
        )
        tree = json.loads(done.stdout)
    except (OSError, subprocess.TimeoutExpired, json.JSONDecodeError):
        return None
    return tree if isinstance(tree, dict) else None
