"""Run the audit, say what it found, keep the report.

python -m site_demo.audit

Status: 0 nothing found; 1 something found; 2 nothing found, but a service did not answer or a part was not there to be read.
"""

import sys

from site_demo import measured
from site_demo.audit import advisories, licences, secrets
from site_demo.audit.advisories import Advisories
from site_demo.audit.licences import Licences
from site_demo.measured import Figure
from site_demo.setup_env import APART, GROUPS, VENV, install_apart

FOUND, UNANSWERED = 1, 2


def told_of_advisories(name: str, said: Advisories) -> tuple[list[Figure], list[str]]:
    """One registry's answer as figures and prose. Without any answer there is no figure of flaws: nought would lie."""
    figures = [
        Figure(f"{name}_answered", said.asked, "", None, "pinned parts of which the advisory service knows"),
        Figure(f"{name}_unanswered", said.unanswered, "", None, "pinned parts of which it said nothing"),
    ]
    if not said.asked:
        told = f"{name}: **not audited**. The advisory service did not answer here, so nothing is known about known flaws."
        return figures, [told]
    figures.append(Figure(f"{name}_flaws", len(said.flaws), "", 0, "known flaws of pinned parts"))
    return figures, [f"{name}: {flaw}." for flaw in said.flaws]


def told_of_licences(name: str, said: Licences) -> tuple[list[Figure], list[str]]:
    """Licences as figures and prose."""
    figures = [
        Figure(f"{name}_licences_read", said.seen, "", None, "installed parts whose metadata was read"),
        Figure(f"{name}_licences_refused", len(said.refused), "", 0, "licences that are not on the list"),
        Figure(f"{name}_not_installed", len(said.unseen), "", None, "pinned for other machines, or a group not set up here"),
    ]
    return figures, [f"{name}: {each}." for each in said.refused]


def main() -> int:
    """Audit, tell, keep."""
    commands = install_apart("audit")
    apart = {install_apart(group).parent: (group,) for group in APART}
    known = {"pypi": advisories.of_python(commands, (*GROUPS, *APART)), "npm": advisories.of_node()}
    allowed = {"pypi": licences.of_python({VENV: GROUPS, **apart}), "npm": licences.of_node()}
    keys = secrets.found(commands)
    parts = [told_of_advisories(*each) for each in known.items()] + [told_of_licences(*each) for each in allowed.items()]
    parts.append(
        (
            [Figure("secrets", len(keys), "", 0, "strings in kept files that look like keys")],
            [f"Looks like a key: {key}." for key in keys],
        )
    )
    figures = [figure for some, _ in parts for figure in some]
    told = [text for _, texts in parts for text in texts]
    for line in (*figures, *told):
        print(line)
    title = "Audit of third-party parts, licences and secrets"
    measured.keep("audit", title, figures, command="make audit", told=told)
    if any(figure.missed for figure in figures):
        return FOUND
    if any(said.unanswered for said in known.values()):
        print("Not complete: ask again where the advisory services of PyPI and npm can be reached.")
        return UNANSWERED
    return 0


if __name__ == "__main__":
    sys.exit(main())
