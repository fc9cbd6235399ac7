"""Python's files for the browser: what goes into them, and that they are the same each time."""

import json
from pathlib import Path

import pytest

from site_demo.payload import SCRIPTS_OF, pack, warming
from site_demo.reached import module_names, reached
from site_demo.stamps import ROOT

STAND_IN = ROOT / "tests" / "pages" / "runtime" / "calc"


def program(folder: Path, **modules: str) -> Path:
    """A package `calc` with these modules; `a__b` is module `b` of its package `a`."""
    package = folder / "calc"
    for name, text in {"__init__": "", **modules}.items():
        file = package / f"{name.replace('__', '/') if not name.startswith('__') else name}.py"
        file.parent.mkdir(parents=True, exist_ok=True)
        if file.parent != package:
            (file.parent / "__init__.py").touch()
        file.write_text(text, encoding="utf-8")
    return package


def test_the_same_program_makes_the_same_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The snapshot too: no clock, no random number, no name of a place, no time zone and no language is in it."""
    first, second = tmp_path / "first", tmp_path / "second" / "elsewhere"
    for folder, zone, language in ((first, "Asia/Tokyo", "de_DE.UTF-8"), (second, "America/Lima", "C")):
        monkeypatch.setenv("TZ", zone)
        monkeypatch.setenv("LANG", language)
        pack(STAND_IN, folder, name="n", requests=['{"do": "random"}'])
    names = [f"python-{part}.js" for part in SCRIPTS_OF]
    assert sorted(path.name for path in first.iterdir()) == sorted([*names, "python.json"])
    for name in names:
        assert (first / name).read_bytes() == (second / name).read_bytes(), name


def test_imports_inside_functions_are_reached_and_other_modules_are_not(tmp_path: Path) -> None:
    """As a page may come to need them."""
    package = program(
        tmp_path,
        browser="from calc import used\ndef later():\n    from calc.deep import inner\n    import json",
        used="import decimal",
        deep__inner="",
        unused="",
    )
    assert module_names(package, "browser") == ["calc.browser"]
    assert reached(package, ["calc.browser"]) == ["calc", "calc.browser", "calc.deep", "calc.deep.inner", "calc.used"]


def test_every_module_of_the_pages_is_reached_and_no_command() -> None:
    """The registry of requests imports by name, so all of its modules are where it begins."""
    names = module_names(ROOT / "calc", "browser")
    files = {path.stem for path in (ROOT / "calc" / "browser").glob("*.py")} - {"__init__"}
    assert set(names) == {"calc.browser", *(f"calc.browser.{stem}" for stem in files)}
    found = reached(ROOT / "calc", names)
    assert {"calc.judge", "calc.show.page", "calc.plan"} <= set(found)
    assert not [name for name in found if name.startswith("calc.command")]


def test_the_demo_warms_it() -> None:
    """The last thing asked before the picture is taken is what the worksheet asks for the demo."""
    asked = [json.loads(each) for each in warming()]
    assert [each["do"] for each in asked] == ["hello", "assess", "open_file", "assess"]
    assert asked[-1]["base"]["demo"] is True
