"""Set up everything the recipes need, from pinned locks. Standard library only: it runs first.

    python3 -m site_demo.setup_env site            the site build
    python3 -m site_demo.setup_env site tests      the tests too
    python3 -m site_demo.setup_env --lock          pin again (needs the package registries)

Every step leaves a stamp and is skipped, silently, while its lock has not changed.
"""

import argparse
import importlib.util
import os
import platform
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from site_demo.stamps import ROOT, WORK, digest, is_fresh, mark

OLDEST_PYTHON = (3, 11)
OLDEST_NODE = 20
VENV = ROOT / ".venv"
REQUIREMENTS = ROOT / "requirements"
NODE_MODULES = ROOT / "node_modules"
# In the order in which `--lock` pins them: each group keeps to the versions of those before it.
GROUPS = ("site", "node", "tests", "checks", "release", "lock", "soak", "mutants")
# Each in a virtual environment of its own, so that what they need decides nothing for the others; locked by itself.
APART = ("audit", "properdocs", "zensical")
# Groups that need the npm packages that are for development only.
DEVELOPMENT = {"tests", "checks", "soak"}


class SetupError(Exception):
    """A step that cannot be done here; the text names the command that mends it."""


def say(text: str) -> None:
    """Tell the person at the terminal what a slow step is doing."""
    print(f"setup: {text}", flush=True)


def run(command: Sequence[str | Path], mend: str, *, env: dict[str, str] | None = None) -> None:
    """Run a quiet command; when it fails, show what it said and how to mend it."""
    done = subprocess.run(
        [str(part) for part in command],
        cwd=ROOT,
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        shown = " ".join(str(part) for part in command)
        raise SetupError(f"{done.stdout}\n`{shown}` failed. {mend}")


def answers(command: Sequence[str | Path]) -> bool:
    """Whether a command can be run at all and ends well."""
    try:
        done = subprocess.run([str(part) for part in command], capture_output=True, check=False)
    except OSError:
        return False
    return done.returncode == 0


def may_install_system_packages() -> bool:
    """Whether this is root on a machine with apt-get (Debian, Ubuntu)."""
    return os.geteuid() == 0 and shutil.which("apt-get") is not None


def apt_install(*packages: str) -> None:
    """Install Debian packages; only for root."""
    say(f"installing {', '.join(packages)} with apt-get")
    env = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    mend = f"Run `apt-get update && apt-get install -y {' '.join(packages)}` and read what it says."
    run(["apt-get", "update", "-qq"], mend, env=env)
    run(["apt-get", "install", "-y", "-qq", "--no-install-recommends", *packages], mend, env=env)


def pip_command(venv: Path) -> list[str | Path] | None:
    """The pip to fill a virtual environment with: its own, the system's, or Debian's wheel."""
    python = venv / "bin" / "python"
    own: list[str | Path] = [python, "-m", "pip"]
    if answers([*own, "--version"]):
        return own
    for pip in ([sys.executable, "-m", "pip"], ["pip3"], ["pip"]):
        outside: list[str | Path] = [*pip, "--python", python]
        if answers([*outside, "--version"]):
            return outside
    for wheel in sorted(Path("/usr/share/python-wheels").glob("pip-*.whl"), reverse=True):
        bundled: list[str | Path] = [python, wheel / "pip"]
        if answers([*bundled, "--version"]):
            return bundled
    return None


def make_venv(venv: Path) -> list[str | Path]:
    """Make a virtual environment where it is missing or broken, even without `ensurepip`. Returns its pip."""
    same = f"import sys; sys.exit(sys.version_info[:2] != {sys.version_info[:2]!r})"
    if not answers([venv / "bin" / "python", "-c", same]):
        say(f"making {venv.name}")
        shutil.rmtree(venv, ignore_errors=True)
        # Debian ships `venv` without `ensurepip`; asking for pip would then leave half a folder.
        has_ensurepip = importlib.util.find_spec("ensurepip") is not None
        command: list[str | Path] = [sys.executable, "-m", "venv", venv]
        if not has_ensurepip or not answers(command):
            run(
                [*command, "--clear", "--without-pip"],
                "Run `sudo apt-get install python3-venv`, then try again.",
            )
    pip = pip_command(venv)
    if pip is None and may_install_system_packages():
        apt_install("python3-venv")
        run(
            [sys.executable, "-m", "venv", "--clear", venv],
            "Run `apt-get install --reinstall python3-venv`, then try again.",
        )
        pip = pip_command(venv)
    if pip is None:
        raise SetupError(
            "This Python has no pip and no way to get one.\nRun `sudo apt-get install python3-venv`, then try again."
        )
    return pip


def install_group(group: str, venv: Path | None = None) -> None:
    """Install one group's pinned wheels, every file checked against its hash. Parameters: venv: for another than .venv."""
    venv = venv or VENV
    lock = REQUIREMENTS / f"{group}.txt"
    stamp = venv / "stamps" / group
    wanted = digest([lock], platform.python_version())
    if is_fresh(stamp, wanted) and (venv / "bin" / "python").exists():
        return
    pip = make_venv(venv)
    say(f"installing the Python packages of requirements/{group}.txt")
    options = ["--require-hashes", "--no-deps", "--only-binary", ":all:", "--quiet"]
    run(
        [*pip, "install", "--disable-pip-version-check", *options, "-r", lock],
        "Check the network connection to the Python package index, then try again.",
    )
    mark(stamp, wanted)


def install_apart(group: str) -> Path:
    """Install one of the groups that stand apart. Returns: the folder of its commands."""
    venv = WORK / "venvs" / group
    venv.parent.mkdir(parents=True, exist_ok=True)
    install_group(group, venv)
    return venv / "bin"


def node_environment() -> dict[str, str]:
    """The environment in which `node` and `npm` are found, the virtual environment's own first."""
    return {**os.environ, "PATH": f"{VENV / 'bin'}{os.pathsep}{os.environ.get('PATH', '')}"}


def find_node() -> Path | None:
    """A Node that is new enough and has npm beside it."""
    search = node_environment()["PATH"]
    node, npm = shutil.which("node", path=search), shutil.which("npm", path=search)
    if node is None or npm is None:
        return None
    check = f"process.exit(parseInt(process.versions.node) < {OLDEST_NODE} ? 1 : 0)"
    return Path(node) if answers([node, "-e", check]) and answers([npm, "--version"]) else None


def install_node_modules(*, development: bool) -> None:
    """Install the pinned npm packages, with a Node from a Python wheel where there is none."""
    if find_node() is None:
        install_group("node")
    node = find_node()
    if node is None:
        raise SetupError(
            f"No Node {OLDEST_NODE} or newer with npm is found, and the wheel's does not start.\n"
            "Run `sudo apt-get install nodejs npm`, then try again."
        )
    locks = [ROOT / "package.json", ROOT / "package-lock.json", ROOT / ".npmrc"]
    full, lean = NODE_MODULES / ".stamp-all", NODE_MODULES / ".stamp-site"
    # What is there for development serves the site build as well, and is not taken away again.
    development = development or full.exists()
    stamp, wanted = (full if development else lean), digest(locks)
    if is_fresh(stamp, wanted):
        return
    say("installing the npm packages of package-lock.json")
    omit = [] if development else ["--omit=dev"]
    run(
        ["npm", "ci", "--no-audit", "--no-fund", *omit],
        "Check the network connection to the npm registry, then try again.",
        env=node_environment(),
    )
    mark(stamp, wanted)


def set_up(groups: Sequence[str]) -> None:
    """Install the groups, and the npm packages that they need."""
    for group in groups:
        install_group(group)
    install_node_modules(development=bool(DEVELOPMENT & set(groups)))


def lock() -> None:
    """Pin everything again: one lock a group for every supported Python, and npm's lock file."""
    install_group("lock")
    mend = "Read what it says about the versions in requirements/*.in."
    for group in (*GROUPS, *APART):
        say(f"pinning requirements/{group}.txt")
        before = GROUPS[: GROUPS.index(group)] if group in GROUPS else ()
        keep = [part for done in before for part in ("-c", f"requirements/{done}.txt")]
        oldest = ".".join(str(part) for part in OLDEST_PYTHON)
        run(
            [
                VENV / "bin" / "uv", "pip", "compile", "--quiet", "--universal",
                "--python-version", oldest, "--fork-strategy", "fewest", "--generate-hashes",
                "--no-emit-index-url", "--upgrade", "--custom-compile-command", "make lock", *keep,
                f"requirements/{group}.in", "-o", f"requirements/{group}.txt",
            ],
            mend,
        )  # fmt: skip
    say("pinning package-lock.json")
    run(["npm", "install", "--package-lock-only"], mend, env=node_environment())


def main() -> int:
    """Parse the command line and do it."""
    parser = argparse.ArgumentParser(description="Set up what the recipes need.")
    parser.add_argument("groups", nargs="*", metavar="group", help=", ".join(GROUPS))
    parser.add_argument("--lock", action="store_true", help="pin everything again")
    options = parser.parse_args()
    if unknown := set(options.groups) - set(GROUPS):
        parser.error(f"no group {', '.join(sorted(unknown))}; there are {', '.join(GROUPS)}")
    if sys.version_info[:2] < OLDEST_PYTHON:
        found = ".".join(str(part) for part in sys.version_info[:3])
        print(
            f"setup: {sys.executable} is Python {found}; Spillmark needs 3.11 or newer.\n"
            "Name a newer one, for example `make demo PYTHON=python3.12`.",
            file=sys.stderr,
        )
        return 1
    try:
        if options.lock:
            lock()
        set_up(options.groups)
    except SetupError as trouble:
        print(f"setup: {trouble}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
