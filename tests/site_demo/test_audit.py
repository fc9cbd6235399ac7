"""The audit tells what it found and what it could not ask, and the project keeps what it audits for."""

import json
import re
import stat
import subprocess
from importlib.metadata import Distribution
from pathlib import Path

import pytest

from site_demo.audit import advisories, licences, secrets
from site_demo.audit.__main__ import told_of_advisories
from site_demo.audit.advisories import Advisories
from site_demo.setup_env import APART, GROUPS, REQUIREMENTS
from site_demo.stamps import ROOT

LOCKS = [REQUIREMENTS / f"{group}.txt" for group in (*GROUPS, *APART)]
FLAW = {"id": "FLAW-1", "fix_versions": ["2.0"], "aliases": [], "description": ""}


class Part(Distribution):
    """An invented part with these lines of metadata."""

    def __init__(self, *lines: str) -> None:
        self.lines = lines

    def read_text(self, filename: str) -> str | None:
        return "\n".join(("Metadata-Version: 2.1", "Name: invented", "Version: 1.0", *self.lines))

    def locate_file(self, path: object) -> Path:
        raise NotImplementedError


def test_a_flaw_is_named_with_the_version_that_mends_it() -> None:
    tree = {"dependencies": [{"name": "a", "version": "1.0", "vulns": [FLAW]}, {"name": "b", "version": "1.0", "vulns": []}]}
    assert advisories.told_by_pip_audit([tree, tree]) == Advisories(2, 0, ("a 1.0: FLAW-1, mended in 2.0",))


def test_a_part_that_pip_audit_passes_over_is_no_part_without_flaws() -> None:
    said = advisories.told_by_pip_audit([{"dependencies": [{"name": "a", "skip_reason": "not found"}]}])
    assert said == Advisories(0, 1)


def test_an_answer_of_npm_without_a_list_of_flaws_is_none() -> None:
    assert advisories.told_by_npm({"statusCode": 405}, 7) == Advisories(unanswered=7)
    assert advisories.told_by_npm(None, 7) == Advisories(unanswered=7)
    listed = advisories.told_by_npm({"vulnerabilities": {"a": {"severity": "high", "range": "<2.0"}}}, 7)
    assert listed == Advisories(7, 0, ("a: high, <2.0",))


def test_without_an_answer_no_figure_says_that_there_are_no_flaws() -> None:
    figures, told = told_of_advisories("npm", Advisories(unanswered=7))
    assert [figure.name for figure in figures] == ["npm_answered", "npm_unanswered"]
    assert "not audited" in told[0]
    figures, told = told_of_advisories("npm", Advisories(7, 0, ("a: high, <2.0",)))
    assert figures[-1].name == "npm_flaws"
    assert figures[-1].missed
    assert told == ["npm: a: high, <2.0."]


@pytest.mark.parametrize(
    ("lines", "licence"),
    [
        (("License-Expression: MIT OR Apache-2.0", "License: GPL"), "MIT OR Apache-2.0"),
        (("License: Revised BSD License",), "BSD-3-Clause"),
        (("License: UNKNOWN", "Classifier: License :: OSI Approved :: MIT License"), "MIT"),
        ((f"License: {'a whole text ' * 9}", "Classifier: License :: OSI Approved :: BSD License"), "BSD-3-Clause"),
        ((f"License: By invention. {next(iter(licences.TEXTS))} and so on.",), "MIT"),
        ((f"License: {'a whole text ' * 9}",), ""),
        ((), ""),
    ],
)
def test_a_licence_is_read_from_whatever_states_it(lines: tuple[str, ...], licence: str) -> None:
    assert licences.licence_of(Part(*lines)) == licence


@pytest.mark.parametrize("expression", ["", "GPL-3.0", "MIT AND GPL-3.0", "(MIT OR ISC)", "mit", "SEE LICENSE IN LICENSE.txt"])
def test_a_licence_that_is_not_allowed_or_not_understood_is_refused(expression: str) -> None:
    told = licences.judged({("invented", "1.0"): expression}, [])
    assert told.refused == (f"invented 1.0: {expression or 'no licence stated'}",)


def test_only_tools_may_come_under_a_licence_for_tools() -> None:
    assert not licences.judged({(name, "1.0"): "GPL-3.0" for name in licences.TOOLS}, []).refused


def test_a_string_like_a_key_is_told_by_its_place() -> None:
    result = {"type": "Private Key", "line_number": 3}
    assert secrets.told({"calc/job/write.py": [result]}) == ["calc/job/write.py:3: Private Key"]


def test_what_was_looked_at_is_still_there() -> None:
    for file, _ in secrets.REVIEWED:
        assert re.search(r"[0-9a-f]{16}", (ROOT / file).read_text("utf-8")), file


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.stem)
def test_every_pin_of_a_lock_is_exact_and_has_hashes(lock: Path) -> None:
    entries = re.split(r"\n(?=\S)", re.sub(r"^#.*\n", "", lock.read_text("utf-8"), flags=re.MULTILINE).strip())
    assert entries
    for entry in entries:
        assert re.match(r"[A-Za-z0-9._-]+==[^\s*]+ ", entry), entry
        assert "--hash=sha256:" in entry, entry


def test_every_npm_package_is_pinned_by_its_content_and_runs_nothing_when_it_is_installed() -> None:
    packages = json.loads((ROOT / "package-lock.json").read_text("utf-8"))["packages"]
    assert all(pinned["integrity"].startswith("sha512-") for path, pinned in packages.items() if path)
    assert "ignore-scripts=true" in (ROOT / ".npmrc").read_text("utf-8").splitlines()
    assert "scripts" not in json.loads((ROOT / "package.json").read_text("utf-8"))


def kept_files() -> list[Path]:
    """Every file that the project keeps."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).exists()]


def test_only_what_is_started_may_be_started() -> None:
    started = {file.relative_to(ROOT).as_posix() for file in kept_files() if file.stat().st_mode & stat.S_IXUSR}
    assert started == {".ci/run"}
    assert not [file for file in kept_files() if file.is_symlink() or file.stat().st_mode & stat.S_IWOTH]


def test_ci_has_no_secret_and_fetches_nothing_but_by_the_makefile() -> None:
    lines = [line for line in (ROOT / ".ci" / "run").read_text("utf-8").splitlines() if not line.startswith("#")]
    words = " ".join(lines)
    assert not re.search(r"curl|wget|ssh|git |TOKEN|SECRET|PASSWORD|sudo|chmod", words)


# A folder of one machine, or where a registry keeps its files.
FOREIGN = re.compile(
    r"""(?:^|[\s"'`(=:])/(?:home|root|work|tmp|opt|Users)/\w|registry\.npmjs|files\.pythonhosted|pypi\.org/simple"""
)


def test_no_file_names_a_folder_of_one_machine_or_a_host_of_a_registry() -> None:
    found = [
        f"{file.relative_to(ROOT)}: {match[0].strip()}"
        for file in kept_files()
        if (text := file.read_bytes().decode("utf-8", "replace"))
        for match in FOREIGN.finditer(text)
    ]
    assert not found, "\n".join(found)
