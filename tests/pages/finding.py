"""Where the browsers and Node are found, in one place, and what to do when one is missing."""

import os
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


class Missing(RuntimeError):  # noqa: N818 (a state of the machine, told to a person)
    """Something that the page tests need is not on this machine; the text says how to mend it."""


def chromium(playwrights_own: str) -> str:
    """The Chromium to start; `playwrights_own` is where Playwright keeps its own, there or not."""
    return _program(
        name="Chromium",
        variable="PLAYWRIGHT_CHROMIUM_EXECUTABLE",
        files=[Path(playwrights_own)],
        commands=["chromium", "chromium-browser", "google-chrome-stable"],
        mend="apt-get install -y chromium",
    )


def firefox() -> str:
    """The Firefox to start."""
    return _program(
        name="Firefox",
        variable="FIREFOX_EXECUTABLE",
        files=[],
        commands=["firefox-esr", "firefox"],
        mend="apt-get install -y firefox-esr",
    )


def node() -> str:
    """The Node to run: the one installed beside this Python, if any, else the machine's."""
    return _program(
        name="Node",
        variable="NODE_EXECUTABLE",
        files=[Path(sys.prefix) / "bin" / "node"],
        commands=["node"],
        mend="make setup",
    )


def npm_file(inside: str) -> Path:
    """A file of an installed npm package, such as `axe-core/axe.min.js`."""
    file = ROOT / "node_modules" / inside
    if not file.is_file():
        raise Missing(f"node_modules/{inside} is not there. Install the npm packages: make setup")
    return file


def is_root() -> bool:
    """Chromium refuses to sandbox itself for root, so only then it is started without."""
    return os.geteuid() == 0


def _program(*, name: str, variable: str, files: Sequence[Path], commands: Sequence[str], mend: str) -> str:
    asked = os.environ.get(variable)
    if asked:
        if shutil.which(asked):
            return asked
        raise Missing(f"{variable} names {asked}, which is no program. Correct it or unset it.")
    for file in files:
        if file.is_file():
            return str(file)
    for command in commands:
        found = shutil.which(command)
        if found:
            return found
    looked = ", ".join(commands)
    raise Missing(
        f"{name} is not on this machine (looked for {variable}, {looked}). "
        f"Install it as root: {mend}\nOr name one: export {variable}=/path/to/it"
    )
