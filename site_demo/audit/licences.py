"""The licence of every pinned part, as its own metadata states it, against the ones that are allowed here."""

import json
import re
import sysconfig
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from importlib.metadata import Distribution, distributions
from pathlib import Path

from packaging.utils import canonicalize_name

from site_demo.setup_env import NODE_MODULES, REQUIREMENTS
from site_demo.stamps import ROOT

# Free to use, change and hand on; the most that any of them asks for is its text and its own source.
ALLOWED = frozenset(
    ("0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "ISC", "MIT", "MPL-2.0", "PSF-2.0", "Zlib")
)
# Parts that run beside the project and whose code is in nothing that it hands out: docs/third-party.md says why.
TOOLS = frozenset({"markdown-include", "pyphen"})
TOOL_LICENCES = frozenset({"GPL-3.0", "GPL-2.0-or-later"})
# What older metadata writes where a licence has a short name.
SPELLED = {
    "Apache 2.0": "Apache-2.0",
    "Apache License Version 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "BSD License": "BSD-3-Clause",
    "GNU General Public License v2 or later (GPLv2+)": "GPL-2.0-or-later",
    "GNU General Public License v3 (GPLv3)": "GPL-3.0",
    "GNU Lesser General Public License v2 or later (LGPLv2+)": "LGPL-2.0-or-later",
    "MIT License": "MIT",
    "MIT Licence": "MIT",
    "Mozilla Public License 1.1 (MPL 1.1)": "MPL-1.1",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "PSFL": "PSF-2.0",
    "Revised BSD License": "BSD-3-Clause",
}
# How the text of a licence goes on, where a part states the text and not the name.
TEXTS = {"Permission is hereby granted, free of charge, to any person obtaining a copy of this software": "MIT"}
# Longer than any name of a licence: the text itself stands there.
LONGEST_NAME = 80
PIN = re.compile(r"^([A-Za-z0-9._-]+)==([^\s;\\]+)", re.MULTILINE)


@dataclass(frozen=True)
class Licences:
    """seen: parts whose metadata was read; unseen: pinned parts that are not installed here; refused: one line each."""

    seen: int
    unseen: tuple[str, ...]
    refused: tuple[str, ...]


def licence_of(metadata: Distribution) -> str:
    """What a Python part says of its licence: the expression, else the field, else the classifiers; empty where nothing."""
    about = metadata.metadata
    stated = {name: " ".join(" ".join(about.get_all(name) or ()).split()) for name in ("License", "License-Expression")}
    written = stated["License"]
    classified = [each.rpartition("::")[2].strip() for each in about.get_all("Classifier") or () if each.startswith("License")]
    if stated["License-Expression"]:
        return stated["License-Expression"]
    if written and written != "UNKNOWN" and len(written) <= LONGEST_NAME:
        return SPELLED.get(written, written)
    if not classified:
        return next((name for words, name in TEXTS.items() if words in written), "")
    # Several classifiers are a choice.
    return " OR ".join(SPELLED.get(each, each) for each in classified)


def permits(expression: str, allowed: Iterable[str] = ALLOWED) -> bool:
    """Whether an expression of licences (SPDX) leaves a way that is allowed. What it cannot read it refuses.

    >>> permits("MIT OR GPL-3.0"), permits("MIT AND GPL-3.0"), permits("")
    (True, False, False)
    """
    allowed = set(allowed)
    # Brackets would need a grammar; nothing that is pinned has any.
    if "(" in expression:
        return False
    return any(all(each in allowed for each in way.split(" AND ")) for way in expression.split(" OR "))


def pins_of(lock: Path) -> dict[str, str]:
    """Every part that a lock pins, with its version."""
    return {canonicalize_name(name): version for name, version in PIN.findall(lock.read_text("utf-8"))}


def of_python(venvs: dict[Path, tuple[str, ...]]) -> Licences:
    """Read the metadata of what is installed. Parameters: venvs: folders of virtual environments, each with its groups."""
    found: dict[tuple[str, str], str] = {}
    wanted: set[tuple[str, str]] = set()
    for venv, groups in venvs.items():
        packages = sysconfig.get_path("purelib", vars={"base": str(venv), "platbase": str(venv)})
        for each in distributions(path=[packages]):
            found[canonicalize_name(each.metadata["Name"]), each.version] = licence_of(each)
        for group in groups:
            wanted |= set(pins_of(REQUIREMENTS / f"{group}.txt").items())
    return judged({part: found[part] for part in wanted if part in found}, sorted(f"{n} {v}" for n, v in wanted - set(found)))


def of_node() -> Licences:
    """What the lock says of every part, held against the part itself where it is installed."""
    found, unseen, lied = {}, [], []
    packages = json.loads((ROOT / "package-lock.json").read_text("utf-8"))["packages"]
    for path, pinned in packages.items():
        if not path:
            continue
        name = path.rpartition("node_modules/")[2]
        found[name, pinned["version"]] = pinned.get("license", "")
        own = NODE_MODULES.parent / path / "package.json"
        if not own.is_file():
            unseen.append(f"{name} {pinned['version']}")
        elif json.loads(own.read_text("utf-8")).get("license") != pinned.get("license"):
            lied.append(f"{name} {pinned['version']}: the lock and the part name different licences")
    told = judged(found, unseen)
    return Licences(told.seen - len(unseen), told.unseen, (*told.refused, *lied))


def judged(found: dict[tuple[str, str], str], unseen: list[str]) -> Licences:
    """Hold licences against the lists. Parameters: found: by name and version; unseen: what could not be read."""
    return Licences(len(found), tuple(unseen), tuple(_refused(found)))


def _refused(found: dict[tuple[str, str], str]) -> Iterator[str]:
    for (name, version), expression in sorted(found.items()):
        allowed = ALLOWED | TOOL_LICENCES if name in TOOLS else ALLOWED
        if not permits(expression, allowed):
            yield f"{name} {version}: {expression or 'no licence stated'}"
