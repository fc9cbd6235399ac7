"""Small mistakes in a module's source, one at a time: each site of the syntax tree, and what may stand there instead."""

from __future__ import annotations

import ast
import copy
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
REACHED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}
SWAPPED = {"min": "max", "max": "min", "any": "all", "all": "any"}
# Never mutated: types, decorators, how a number is printed.
SKIPPED = {"annotation", "returns", "decorator_list", "format_spec", "type_comment"}
# Arguments that only guard or only speed up: a right program is the same without them.
GUARDS = {"strict", "maxsize", "slots", "frozen", "kw_only", "typed"}

Function = ast.FunctionDef | ast.AsyncFunctionDef
Put = Callable[[], None]


@dataclass(frozen=True, slots=True)
class Mutant:
    """One mistake: in which module (`calc/pump/cam.py`) and function (empty at module level), what stood there, what stands."""

    number: int
    file: str
    scope: str
    line: int
    # Where its statement begins: what of a long one is counted as run differs.
    statement: int
    kind: str
    before: str
    after: str
    # Which of the mutants of this scope that read the same; so the name holds while lines move.
    same: int = 0

    @property
    def name(self) -> str:
        """What the mutant is called in the list of the explained."""
        again = f" #{self.same}" if self.same else ""
        return f"{self.file} {self.scope or 'module'}: {self.before} -> {self.after}{again}"


def _words(node: ast.AST) -> bool:
    """Whether an expression is text, or a collection of texts."""
    if isinstance(node, ast.Tuple | ast.List | ast.Set):
        return all(map(_words, node.elts))
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def _number(value: object) -> Sequence[float]:
    """What may stand instead of a constant."""
    if isinstance(value, bool):
        return (not value,)
    if isinstance(value, int):
        return (value + 1, value - 1)
    if isinstance(value, float):
        return (value + 1.0, value * 0.9) if value else (1.0,)
    return ()


def _instead(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """Each kind of mistake that an expression can have, with what stands there then."""
    match node:
        case ast.Compare(left=left, ops=[op], comparators=comparators):
            for other in COMPARED[type(op)]:
                yield "comparison", ast.Compare(left, [other()], comparators)
        case ast.Compare(left=left, ops=ops, comparators=comparators):
            for place, op in enumerate(ops):
                for other in COMPARED[type(op)]:
                    yield "comparison", ast.Compare(left, [*ops[:place], other(), *ops[place + 1 :]], comparators)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in REACHED and not (_words(left) or _words(right)):
            yield "arithmetic", ast.BinOp(left, REACHED[type(op)](), right)
        case ast.BoolOp(op=op, values=values):
            yield "and, or", ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values)
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            yield "negation", operand
        case ast.Constant(value=value):
            for other_value in _number(value):
                yield "constant", ast.Constant(other_value)
        case ast.Call(func=ast.Name(id=name) as function) if name in SWAPPED:
            yield "min, max", ast.Call(ast.Name(SWAPPED[function.id], ast.Load()), node.args, node.keywords)
    if isinstance(node, ast.Call):
        for place, keyword in enumerate(node.keywords):
            if keyword.arg is not None and keyword.arg not in GUARDS and not _words(keyword.value):
                yield "argument dropped", ast.Call(node.func, node.args, node.keywords[:place] + node.keywords[place + 1 :])


def _of_statement(node: ast.AST) -> Iterator[tuple[str, str, ast.AST]]:
    """The same for what belongs to a statement or a branch: kind, field, what stands there then."""
    if isinstance(node, ast.If | ast.IfExp | ast.While):
        if not isinstance(node, ast.While):
            yield "condition", "test", ast.Constant(True)
        yield "condition", "test", ast.Constant(False)
    if isinstance(node, ast.Return) and node.value is not None and not isinstance(node.value, ast.Constant):
        yield "return value", "value", ast.Constant(None)
    if isinstance(node, ast.AugAssign) and type(node.op) in REACHED and not _words(node.value):
        yield "arithmetic", "op", REACHED[type(node.op)]()


def _typing_only(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"


def _guards(node: ast.AST) -> bool:
    return isinstance(node, ast.keyword) and node.arg in GUARDS


def _shown(node: ast.AST, whole: ast.AST) -> str:
    """A statement's mistake is read with the statement, an expression's by itself."""
    if isinstance(whole, ast.If | ast.While):
        return f"{type(whole).__name__.lower()} {ast.unparse(whole.test)}"
    return ast.unparse(whole if isinstance(node, ast.operator) else node)


def _sites(node: ast.AST, scope: str, statement: int = 1) -> Iterator[tuple[str, int, int, str, str, str, Put]]:
    """All mistakes below a node: scope, line, its statement's line, kind, before, after, and how to make it."""
    for kind, field, other in _of_statement(node):
        line = getattr(node, "lineno", 0)
        changed = copy.copy(node)
        setattr(changed, field, other)
        before, after = _shown(getattr(node, field), node), _shown(other, changed)
        yield scope, line, statement, kind, before, after, _putter(node, field, None, other)
    for field, value in ast.iter_fields(node):
        if field in SKIPPED:
            continue
        inside = f"{scope}.{node.name}".lstrip(".") if isinstance(node, Function) and field == "body" else scope
        children = list(enumerate(value)) if isinstance(value, list) else [(None, value)]
        for place, child in children:
            if not isinstance(child, ast.AST) or _typing_only(child) or _guards(child):
                continue
            if isinstance(child, ast.expr):
                for kind, other in _instead(child):
                    put = _putter(node, field, place, other)
                    yield inside, child.lineno, statement, kind, ast.unparse(child), ast.unparse(other), put
            begins = child.lineno if isinstance(child, ast.stmt) else statement
            yield from _sites(child, _class_scope(child, inside), begins)


def _class_scope(node: ast.AST, scope: str) -> str:
    """A class's body runs when the module is imported, but its methods are named by it."""
    return scope if not isinstance(node, ast.ClassDef) else f"{scope}.{node.name}".lstrip(".") + ":"


def _putter(parent: ast.AST, field: str, place: int | None, other: ast.AST) -> Put:
    def put() -> None:
        old = getattr(parent, field)
        new = ast.copy_location(other, old if place is None else old[place]) if isinstance(other, ast.expr) else other
        if place is None:
            setattr(parent, field, new)
        else:
            old[place] = new

    return put


def _tree(root: Path, file: str) -> ast.Module:
    return ast.parse((root / file).read_text("utf-8"))


def mutants_of(root: Path, file: str) -> list[Mutant]:
    """Every mutant of a module, in the order of its source."""
    found: list[Mutant] = []
    seen: dict[tuple[str, str, str], int] = {}
    for number, (scope, line, statement, kind, before, after, _) in enumerate(_sites(_tree(root, file), "")):
        same = seen[scope, before, after] = seen.get((scope, before, after), -1) + 1
        found.append(Mutant(number, file, scope.replace(":", ""), line, statement, kind, before, after, same))
    return found


def at_import(root: Path, file: str) -> set[int]:
    """Numbers of the mutants in what runs when the module is imported: its own level, and the bodies of its classes."""
    sites = enumerate(_sites(_tree(root, file), ""))
    return {number for number, (scope, *_) in sites if not scope or scope.endswith(":")}


def spoiled(root: Path, mutant: Mutant) -> ast.Module:
    """The module's syntax tree with this one mistake."""
    tree = _tree(root, mutant.file)
    for number, (*_, put) in enumerate(_sites(tree, "")):
        if number == mutant.number:
            put()
            return ast.fix_missing_locations(tree)
    raise LookupError(f"{mutant.file} has no mutant number {mutant.number}")
