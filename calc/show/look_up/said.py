"""What the code says of itself: the parts of its docstrings, and every source that it names.

Read from the sources of `calc`, so only where these are at hand: when the site is built and in the tests.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from dataclasses import dataclass
from types import ModuleType

import calc
from calc.compute.registry import CALCULATIONS
from calc.findings import Findings
from calc.job.describe import walk
from calc.job.model import Job
from calc.work.report import Report

_LABEL = re.compile(r"\b(Formulas?(?:, [a-z]+)?|Parameters|Returns|Raises|Sources?|Rule)(?::| and units as for| as for)\s")
FORMULA, GIVEN, RETURNS, SOURCE = "Formula", "Parameters", "Returns", "Source"


@dataclass(frozen=True, slots=True)
class Saying:
    """One docstring: whose, in which module, its first sentence, and its labelled parts."""

    module: str
    name: str
    what: str
    parts: dict[str, str]

    @property
    def place(self) -> str:
        """Where it stands, such as `pump.cam.secant_slope`."""
        return f"{self.module.removeprefix('calc.')}.{self.name}".rstrip(".")


@dataclass(frozen=True, slots=True)
class Citation:
    """A source as it is named somewhere in the code. `group`: what the place belongs to; `what`: what it is about.

    of_results: whether it stands beside a result that people see, and not beside a formula.
    """

    group: str
    what: str
    text: str
    of_results: bool = True


def parted(words: str) -> tuple[str, dict[str, str]]:
    """The first sentence of a docstring and its labelled parts, the example left out.

    >>> parted("Area of a circle. Formula: pi d^2 / 4. Returns: [mm2].")
    ('Area of a circle.', {'Formula': 'pi d^2 / 4.', 'Returns': '[mm2].'})
    """
    paragraphs = words.split(">>>")[0].strip().split("\n\n")
    found: dict[str, str] = {}
    for paragraph in paragraphs:
        flat = " ".join(paragraph.split())
        places = list(_LABEL.finditer(flat))
        for at, label in enumerate(places):
            end = places[at + 1].start() if at + 1 < len(places) else len(flat)
            # "as for …" belongs to what is said.
            rest = flat[label.start() if " as for" in label[0] else label.end() : end].strip()
            key = label[1].removesuffix("s") if label[1].startswith(("Formulas", "Sources")) else label[1]
            key, _, kind = key.partition(", ")
            found[key] = f"{found[key]} {rest}" if key in found else f"{kind}: {rest}" if kind else rest
    lead = " ".join(paragraphs[0].split())
    first = _LABEL.split(lead)[0].strip()
    return re.split(r"(?<=[.:]) (?=[A-Z])", first)[0], found


def modules() -> Iterator[ModuleType]:
    """Every module of `calc`, but its entry."""
    for info in sorted(pkgutil.walk_packages(calc.__path__, "calc."), key=lambda each: each.name):
        if info.name != "calc.__main__":
            yield importlib.import_module(info.name)


def sayings() -> Iterator[Saying]:
    """Every docstring in order: of the modules, and of all that they define."""
    for module in modules():
        for node in _defined(ast.parse(inspect.getsource(module))):
            words = ast.get_docstring(node)
            if words:
                yield Saying(module.__name__, getattr(node, "name", ""), *parted(words))


_Defined = ast.Module | ast.ClassDef | ast.FunctionDef


def _defined(node: _Defined) -> Iterator[_Defined]:
    yield node
    for child in node.body:
        if isinstance(child, (ast.ClassDef, ast.FunctionDef)):
            yield from _defined(child)


def citations() -> Iterator[Citation]:
    """Every source that the code names: in docstrings, with results, with calculations, in lines of the working."""
    said = list(sayings())
    titles = {each.module: each.what for each in said if not each.name}
    for each in said:
        if SOURCE in each.parts:
            yield Citation(titles[each.module], each.what, each.parts[SOURCE], of_results=False)
    for root, group in ((Findings, "The findings"), (Report, "The progress"), (Job, "The job")):
        for _, field in walk(root):
            if field.source:
                yield Citation(group, field.label, field.source)
    for calculation in CALCULATIONS.values():
        yield Citation("The calculations", calculation.what, calculation.source)
        for _, field in walk(calculation.result):
            if field.source:
                yield Citation("The calculations", calculation.what, field.source)
    for module in modules():
        for call in ast.walk(ast.parse(inspect.getsource(module))):
            if isinstance(call, ast.Call) and getattr(call.func, "id", "") == "Line" and len(call.args) == 5:
                text = _text(call.args[4], module)
                if text:
                    yield Citation("The working", _text(call.args[0], module), text)


def _text(node: ast.expr, module: ModuleType) -> str:
    """What an expression says, as far as it stands in the module; empty for what is only known when it runs."""
    match node:
        case ast.Constant(value=str(words)):
            return words
        case ast.Name(id=name):
            words = getattr(module, name, "")
            return words if isinstance(words, str) else ""
        case ast.JoinedStr(values=values):
            return "".join(_text(each, module) for each in values)
        case ast.FormattedValue(value=value):
            return _text(value, module) or "…"
        case ast.IfExp(body=one, orelse=other):
            return _text(one, module) or _text(other, module)
    return ""
