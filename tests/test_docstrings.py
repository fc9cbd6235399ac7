"""What `calc` says of itself is true: examples run, nothing public is without a word, and quantities name their unit."""

import ast
import doctest
import importlib
import inspect
import io
import pkgutil
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

import calc

NAMES = sorted(module.name for module in pkgutil.walk_packages(calc.__path__, "calc."))
# Running a program's entry is not importing it.
MODULES = ["calc", *(name for name in NAMES if name != "calc.__main__")]
PHYSICAL = ("calc.measure", "calc.pump", "calc.fuel", "calc.plan", "calc.moving")
ROOT = Path(calc.__file__).parent

# The unit is in the name of an argument, in brackets in the text, or said to be that of another quantity.
IN_NAME = re.compile(r"_(mm2?|mm2_s|deg|c|c_per_min|rpm|ms|h|g|percent|cm3|m3|m3_h|kg_m3|mm_per_deg|kn|mpa)$|flats|turns")
IN_BRACKETS = re.compile(
    r"\[[^\]]*\b(mm2?|mm2/s|deg|degC|degC/min|1|rpm|ms|h|min|g|%|cm3|m3|m3/h|kg/m3|mm/deg|mm/mm|kN|GPa|MPa|MJ/kg|index|unit)"
    r"\b[^\]]*\]|\[%\]|\[1/degC\]"
)
SAID = re.compile(r"\bunits? (of|as)\b|\b(same|one|any|that) unit\b|\b[Pp]arameters (and units )?as for\b")


@pytest.mark.parametrize("name", MODULES)
def test_examples_run(name: str) -> None:
    module = importlib.import_module(name)
    said = io.StringIO()
    runner = doctest.DocTestRunner(optionflags=0)
    for test in doctest.DocTestFinder(exclude_empty=True).find(module, module.__name__):
        runner.run(test, out=said.write)
    assert runner.summarize(verbose=False).failed == 0, said.getvalue()


def test_there_are_examples_to_run() -> None:
    """A finder that finds nothing would pass every time."""
    finder = doctest.DocTestFinder()
    examples = sum(len(test.examples) for name in MODULES for test in finder.find(importlib.import_module(name)))
    assert examples > 120


def public_members(module: ModuleType) -> Iterator[tuple[str, object]]:
    """Functions, classes, and the methods and properties of classes, that a module defines for others."""
    for name, member in vars(module).items():
        if name.startswith("_") or getattr(member, "__module__", None) != module.__name__:
            continue
        if inspect.isfunction(member) or inspect.isclass(member):
            yield f"{module.__name__}.{name}", member
        if inspect.isclass(member):
            for inner, method in vars(member).items():
                if not inner.startswith("_") and (
                    inspect.isfunction(method) or isinstance(method, (property, classmethod, staticmethod))
                ):
                    yield f"{module.__name__}.{name}.{inner}", method


EVERYTHING = [each for name in MODULES for each in public_members(importlib.import_module(name))]
FUNCTIONS = [
    (name, member)
    for name, member in EVERYTHING
    if inspect.isfunction(member) and name.startswith(PHYSICAL) and name.rpartition(".")[0] in MODULES
]


@pytest.mark.parametrize("name", MODULES)
def test_every_module_says_what_it_is(name: str) -> None:
    assert (importlib.import_module(name).__doc__ or "").strip()


@pytest.mark.parametrize(("name", "member"), EVERYTHING, ids=[name for name, _ in EVERYTHING])
def test_everything_public_has_a_docstring(name: str, member: object) -> None:
    words = getattr(member, "__doc__", None)
    assert words, name
    assert words.strip()
    # A dataclass without one of its own gets its signature.
    assert not words.startswith(f"{name.rpartition('.')[2]}(")


@pytest.mark.parametrize(("name", "member"), FUNCTIONS, ids=[name for name, _ in FUNCTIONS])
def test_physical_functions_show_an_example(name: str, member: object) -> None:
    assert ">>>" in (member.__doc__ or ""), name


def _numeric(annotation: object) -> bool:
    return any(word in str(annotation) for word in ("float", "Term", "Estimate")) and "Callable" not in str(annotation)


@pytest.mark.parametrize(("name", "member"), FUNCTIONS, ids=[name for name, _ in FUNCTIONS])
def test_physical_functions_name_their_units(name: str, member: object) -> None:
    """Every quantity that goes in or comes out has its unit: in its name, or in the docstring."""
    assert inspect.isfunction(member)
    words = inspect.getdoc(member) or ""
    signature = inspect.signature(member)
    in_words = bool(IN_BRACKETS.search(words) or SAID.search(words))
    nameless = [
        parameter
        for parameter in signature.parameters.values()
        if _numeric(parameter.annotation) and not IN_NAME.search(parameter.name)
    ]
    assert in_words or not nameless, f"{name}: no unit for {', '.join(parameter.name for parameter in nameless)}"
    if _numeric(signature.return_annotation):
        assert in_words or IN_NAME.search(name), f"{name}: no unit for what it returns"


def _imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: a relative import"
            found.add(node.module or "")
    return found


SOURCES = sorted(ROOT.rglob("*.py"))


@pytest.mark.parametrize("path", SOURCES, ids=[str(path.relative_to(ROOT)) for path in SOURCES])
def test_only_the_standard_library_is_imported(path: Path) -> None:
    tops = {name.partition(".")[0] for name in _imports(path)}
    assert tops - sys.stdlib_module_names - {"calc", "__future__"} == set()


# What a part may know of the others. Data flows one way: file or form -> job -> findings -> page, paper, terminal.
MAY_KNOW = {
    "measure": {"measure"},
    "fuel": {"fuel", "measure"},
    "pump": {"pump", "measure", "fuel"},
    "plan": {"plan", "measure", "fuel"},
    # An invented pump of its own: the tests hold it against the rest, and it needs none of it.
    "moving": {"moving"},
    # Plans a job, so it reads one; the rest of `plan` takes plain numbers.
    "plan/turning": {"plan/turning", "job", "findings", "version"},
    "job": {"job", "measure", "recalls"},
    "judge": {"judge", "job", "pump", "measure", "fuel", "plan", "findings", "history", "version", "recalls"},
    "compute": {"compute", "judge", "plan", "job", "pump", "measure", "fuel", "findings", "working"},
    "teach": {"teach", "splitmix", "judge", "job", "pump", "measure", "findings", "working"},
    "work": {"work", "judge", "job", "findings", "version"},
    # The engine to practise on is physics: it reads typed numbers and writes a job, and knows none of the formulas that judge.
    "teach/practice": {"teach/practice", "teach", "splitmix", "job"},
    "show": {
        *("show", "compute", "teach", "teach/practice", "work", "judge", "job", "pump", "plan", "plan/turning", "measure"),
        *("fuel", "moving"),
        *("findings", "history", "working", "version", "command", "recalls"),
    },
}


def part_of(name: str) -> str:
    """The part that a module belongs to: the innermost that has a line of its own."""
    place = name.removeprefix("calc.").replace(".", "/")
    return max((part for part in MAY_KNOW if f"{place}/".startswith(f"{part}/")), key=len, default=place.partition("/")[0])


@pytest.mark.parametrize("part", list(MAY_KNOW))
def test_parts_know_only_what_lies_before_them(part: str) -> None:
    sources = [path for path in SOURCES if part_of(str(path.relative_to(ROOT).with_suffix(""))) == part]
    assert sources
    for path in sources:
        known = {part_of(name) for name in _imports(path) if name.startswith("calc.")}
        assert known <= MAY_KNOW[part], path.name


# No clock, file, screen or process in the pure part.
IMPURE = {
    "time",
    "datetime",
    "os",
    "sys",
    "pathlib",
    "random",
    "subprocess",
    "socket",
    "tempfile",
    "shutil",
    "logging",
    "threading",
}


@pytest.mark.parametrize(
    "part", ["measure", "fuel", "pump", "plan", "job", "judge", "compute", "teach", "teach/practice", "work", "moving"]
)
def test_the_pure_part_has_no_clock_and_no_files(part: str) -> None:
    for path in (ROOT / part).rglob("*.py"):
        assert _imports(path) & IMPURE == set(), path.name
        calls = {
            node.func.id
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        }
        assert calls & {"open", "print", "input", "exec", "eval"} == set(), path.name
