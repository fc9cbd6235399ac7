"""Mutants are what they say; a living process can be spoiled, in one place only; explanations are of today."""

import ast
from pathlib import Path

import pytest

from .afresh import forget, put
from .covered import ROOT
from .mutate import Mutant, at_import, mutants_of, spoiled
from .report import groups, wilson

SOURCE = '''
"""Words."""
LIMIT = 3.0


def least(a: float, b: float = 2.0, *, name: str = "x") -> float:
    """Words."""
    if a < b and not name == "y":
        return min(a, b * LIMIT)
    return f(a, extra=b, zeros=zip(a, b, strict=True))


class Thing:
    """Words."""

    size: int = 1

    def grown(self) -> int:
        """Words."""
        self.size += 1
        return self.size if self.size > 0 else -1
'''


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with one module."""
    (tmp_path / "one.py").write_text(SOURCE, "utf-8")
    return tmp_path


def changes(folder: Path) -> set[tuple[str, str, str]]:
    """What is changed, without where."""
    return {(mutant.kind, mutant.before, mutant.after) for mutant in mutants_of(folder, "one.py")}


def test_every_kind_of_mistake_is_made(folder: Path) -> None:
    assert changes(folder) >= {
        ("comparison", "a < b", "a <= b"),
        ("comparison", "a < b", "a >= b"),
        ("comparison", "name == 'y'", "name != 'y'"),
        ("arithmetic", "b * LIMIT", "b / LIMIT"),
        ("arithmetic", "self.size += 1", "self.size -= 1"),
        ("and, or", "a < b and (not name == 'y')", "a < b or not name == 'y'"),
        ("negation", "not name == 'y'", "name == 'y'"),
        ("negation", "-1", "1"),
        ("constant", "3.0", "4.0"),
        ("constant", "3.0", "2.7"),
        ("condition", "if a < b and (not name == 'y')", "if True"),
        ("condition", "if a < b and (not name == 'y')", "if False"),
        ("min, max", "min(a, b * LIMIT)", "max(a, b * LIMIT)"),
        ("argument dropped", "f(a, extra=b, zeros=zip(a, b, strict=True))", "f(a, zeros=zip(a, b, strict=True))"),
        ("return value", "min(a, b * LIMIT)", "None"),
    }


def test_words_types_and_guards_are_left_alone(folder: Path) -> None:
    assert not [change for change in changes(folder) if "Words" in change[1] or "strict=False" in change[2]]


def test_a_mutant_differs_in_one_place_and_has_a_name_of_its_own(folder: Path) -> None:
    as_it_is = ast.dump(ast.parse(SOURCE))
    every = mutants_of(folder, "one.py")
    trees = {ast.dump(spoiled(folder, mutant)) for mutant in every}
    assert as_it_is not in trees
    assert len({mutant.name for mutant in every}) == len(every)
    # `if a` made true in two ways is one tree, so a few coincide; most do not.
    assert len(trees) > 0.9 * len(every)


def test_what_runs_at_import_is_known(folder: Path) -> None:
    late = at_import(folder, "one.py")
    assert {mutant.before for mutant in mutants_of(folder, "one.py") if mutant.number in late} == {"3.0", "2.0", "1"}


def test_a_living_function_gets_the_code_of_a_mutant() -> None:
    from calc.measure import conformity
    from calc.measure.conformity import worst

    file = "calc/measure/conformity.py"
    mutant = next(each for each in mutants_of(ROOT, file) if each.scope == "worst" and each.kind == "min, max")
    code = {name: each.__code__ for name, each in vars(conformity).items() if hasattr(each, "__code__")}
    try:
        put(spoiled(ROOT, mutant), ROOT / file)
        assert worst(["within", "outside"]) == "within"
    finally:
        for name, each in code.items():
            vars(conformity)[name].__code__ = each
    assert worst(["within", "outside"]) == "outside"


def test_caches_are_emptied() -> None:
    from calc.measure.student import t_quantile

    t_quantile(0.9, 7.0)
    assert t_quantile.cache_info().currsize
    forget()
    assert not t_quantile.cache_info().currsize


def test_wilson_interval_of_a_published_example() -> None:
    """R. G. Newcombe, Statistics in Medicine 17 (1998) 857, table I: 81 of 263 (from memory)."""
    assert wilson(81, 263) == pytest.approx((0.2553, 0.3662), abs=5e-5)


def test_every_explained_survivor_is_a_mutant_of_today() -> None:
    explained = [name for group in groups() for name in group.mutants]
    known = {mutant.name for file in {name.partition(" ")[0] for name in explained} for mutant in mutants_of(ROOT, file)}
    assert set(explained) <= known, sorted(set(explained) - known)
    assert len(set(explained)) == len(explained)


def test_a_mutant_is_named_without_its_line() -> None:
    one = Mutant(4, "calc/pump/cam.py", "travel", 9, 9, "constant", "1", "2")
    assert one.name == "calc/pump/cam.py travel: 1 -> 2"
