"""`python -m calc compute`: input on standard input, output for people and programs, status."""

import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from calc.command.main import main
from calc.compute.registry import CALCULATIONS
from tests.compute.answers import example
from tests.jobs import MAIN

ROOT = Path(__file__).parent.parent.parent


class Typed:
    """Standard input that holds these bytes."""

    def __init__(self, content: bytes, terminal: bool = False) -> None:
        self.buffer, self.terminal = io.BytesIO(content), terminal

    def isatty(self) -> bool:
        return self.terminal


def run(monkeypatch: pytest.MonkeyPatch, given: Any, *arguments: str) -> int:
    content = given if isinstance(given, bytes) else json.dumps(given).encode()
    monkeypatch.setattr(sys, "stdin", Typed(content))
    return main(["compute", *arguments])


def test_alone_it_lists_the_names_with_a_line_each(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compute"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == list(CALCULATIONS)
    assert all(len(line.split()) > 3 for line in lines)
    assert max(map(len, lines)) <= 100


def test_json_as_a_real_process() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "calc", "compute", "density", "--json"],
        cwd=ROOT,
        input=b'\xef\xbb\xbf{"density_15_kg_m3": 992, "at_c": [36]}',
        capture_output=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, b"")
    found = json.loads(done.stdout)
    assert list(found) == ["format", "version", "name", "result", "notices"]
    assert (found["format"], found["version"], found["name"]) == ("spillmark-result", 1, "density")
    assert found["result"]["vcf"] == [pytest.approx(0.9856581609793571)]
    assert found["notices"] == []


def test_no_page_and_no_other_command_waits_for_the_calculations() -> None:
    """What starts with the worksheet and what judges a job load none of them; asking for one does."""
    source = (
        "import json, sys\n"
        "from calc import browser\n"
        "from calc.command.main import main\n"
        "main(['check', sys.argv[1], '--json'])\n"
        "browser.respond(json.dumps({'do': 'assess', 'texts': {}, 'base': {}}))\n"
        "there = lambda: sum(name.startswith('calc.compute') for name in sys.modules)\n"
        "before = there()\n"
        "browser.respond(json.dumps({'do': 'compute', 'texts': {}, 'base': {}, 'name': 'trial', 'typed': {}}))\n"
        "print(before, there() > 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", source, MAIN], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] == "0 True"


@pytest.mark.parametrize("name", list(CALCULATIONS))
def test_people_get_values_and_the_working(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(monkeypatch, example(name), name) == 0
    out = capsys.readouterr().out
    assert out.lower().startswith(CALCULATIONS[name].what.lower())
    assert "\nWorking\n" in out
    assert max(map(len, out.splitlines())) <= 80


def test_bad_input_is_told_on_both_outputs(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    given = {"volume_m3": 0, "flow_m3_h": "1.5", "start_c": 500}
    places = ["volume_m3", "flow_m3_h", "start_c", "feed_c", "limit_c_per_min"]
    assert run(monkeypatch, given, "cooling") == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.startswith("The input of cooling cannot be used: 5 things to mend.")
    assert all(f"- {place}: " in shown.err for place in places)
    assert run(monkeypatch, given, "cooling", "--json") == 2
    shown = capsys.readouterr()
    found = json.loads(shown.out)
    assert (found["format"], found["version"]) == ("spillmark-errors", 1)
    assert [error["where"] for error in found["errors"]] == places


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe", b"[1]", b"null"])
def test_what_is_no_object(content: bytes, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(monkeypatch, content, "density", "--json") == 2
    assert [error["where"] for error in json.loads(capsys.readouterr().out)["errors"]] == [""]


def test_no_answer_has_status_1(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    given = {"volume_m3": 8, "flow_m3_h": 1.5, "start": 0.5, "feed": 0.2, "target": 0.1}
    assert run(monkeypatch, given, "dilution") == 1
    out = capsys.readouterr().out
    assert "Time until the target" in out
    assert "none" in out
    assert "No answer: " in out


def test_at_a_terminal_it_says_what_it_waits_for(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", Typed(json.dumps(example("tdc")).encode(), terminal=True))
    assert main(["compute", "tdc", "--json"]) == 0
    shown = capsys.readouterr()
    assert "--fields says what goes in" in shown.err
    assert json.loads(shown.out)["name"] == "tdc"


def test_a_name_that_does_not_exist(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compute", "viscosiy\x1b"]) == 2
    err = capsys.readouterr().err
    assert "Did you mean viscosity?" in err
    assert "python -m calc compute" in err
    assert "\x1b" not in err


def test_fields_say_what_goes_in(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compute", "blend", "--fields"]) == 0
    out = capsys.readouterr().out
    assert "parts[].mass_t  (needed)" in out
    assert "Example: {" in out
