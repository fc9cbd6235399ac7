"""Files that nobody wrote: sound jobs with a few changes, and things that are no job at all.

All choices come from a `random.Random`, so hypothesis can make them, and so can a fuzzer's seed.
"""

import copy
import json
import random
from collections.abc import Callable
from functools import cache
from typing import Any

from calc.compute.registry import CALCULATIONS
from calc.job.describe import walk
from calc.job.model import Job
from calc.teach.practice.job import job_tree
from calc.teach.practice.rig import play
from tests.job.trees import random_tree
from tests.jobs import DEMO_FILES, DEMO_FOLDER
from tests.work.sheets import full_job

PAST_FILES = sorted((DEMO_FOLDER.parent / "history").glob("*.json"))

# Marks, half characters, commands to a terminal, a spreadsheet and a page; and what a later version may write.
TEXTS = [
    "", " ", "\0", "\ud800", "\udfff x", "\ufeff", "\u202e reversed", "\u2028", "\x1b[31m", "\x1b]0;title\x07", "\r\n\r\n",
    "\t",
    "<img src=x onerror=alert(1)>", '"><script>alert(1)</script>', "]]>", "</title>", "</style>", "javascript:alert(1)",
    "=1+1", "@x", "+1", "-1", "'", '"', "\\", "%s{}%n", "__proto__", "constructor", "null", "NaN", "1e999", "4.5 before", "½",
    "٣", "𝄞" * 50, "e\u0301" * 99, "x" * 5000, "9" * 500, "1/0", "2026-02-30", "as_left", "ahead", "astern", "spillmark-job",
]  # fmt: skip
NUMBERS: list[Any] = [
    0, -0.0, 1, -1, 2, 0.5, 1e-9, -1e-9, 5e-324, 1e-308, 2.2250738585072014e-308, 1e16, 2**53, 2**53 + 1, 2**63, 10**100,
    -(10**308), 1.7976931348623157e308, -1.7976931348623157e308, 1e308, 180, -180, 180.0000001, 360, 359.99999999, 24, 25,
    999999999,
    0.1 + 0.2, 1e3, 1000, 1000.0000000001, 50, -50, 65535, 2**31, 10**400,
]  # fmt: skip
OTHERS: list[Any] = [None, True, False, [], {}, [[]], [None], {"": None}, [0] * 40, [[0, 0]] * 30]
# JSON that Python's own writer would not write.
LITERALS = [
    "NaN", "Infinity", "-Infinity", "1e999", "-1e999", "-0", "-0.0", "1E+2", "0.1e-400", "1" * 5000, "1e" + "9" * 50, "01",
    "+1", ".5", "1.", "0x10", '"\\ud800"', '"\\u0000"', '"\\udc00\\ud800"', "'x'", "tru", "nul", "/* */1", "[1,]", '{"a":1,}',
    '{"a":1,"a":2}', "[" * 63 + "]" * 63, "[" * 70 + "]" * 70, "[" * 9000, '{"a":' * 70 + "1" + "}" * 70,
    "\ufeff", "\u2028",
]  # fmt: skip
_HOLE = "\u2603 hole"
_KNOWN = sorted({path.split(".")[-1].replace("[]", "") for path, _ in walk(Job)})


@cache
def _sound_jobs() -> tuple[str, ...]:
    trees = [json.loads(path.read_text("utf-8")) for path in [*DEMO_FILES, *PAST_FILES]]
    trees += [full_job(units) for units in (1, 3)]
    trees += [random_tree(seed) for seed in range(60)]
    trees += [job_tree(play(number, level, [])) for number, level in ((1, 1), (2, 3))]
    return tuple(map(json.dumps, trees))


def sound_jobs() -> list[Any]:
    """Jobs of every kind as trees: the demo's, past ones, full ones, drawn ones, practice ones."""
    return [json.loads(text) for text in _sound_jobs()]


def any_value(chance: random.Random, deep: int = 3) -> Any:
    """A JSON value, often at an end of what numbers and texts can be."""
    kind = chance.randrange(7 if deep else 5)
    if kind == 0:
        return copy.deepcopy(chance.choice(OTHERS))
    if kind in (1, 2):
        return chance.choice(NUMBERS) if chance.random() < 0.7 else chance.uniform(-400, 400)
    if kind in (3, 4):
        return chance.choice(TEXTS)
    if kind == 5:
        return [any_value(chance, deep - 1) for _ in range(chance.randrange(4))]
    return {any_key(chance): any_value(chance, deep - 1) for _ in range(chance.randrange(4))}


def any_key(chance: random.Random) -> str:
    """A key that a job knows, or none."""
    return chance.choice(_KNOWN) if chance.random() < 0.7 else chance.choice(TEXTS)


def _places(tree: Any) -> list[tuple[Any, Any]]:
    """Every place in a tree, as what holds it and its key or number there."""
    found: list[tuple[Any, Any]] = []
    stack = [tree]
    while stack:
        each = stack.pop()
        inner = list(each.items()) if isinstance(each, dict) else list(enumerate(each)) if isinstance(each, list) else []
        found += [(each, at) for at, _ in inner]
        stack += [value for _, value in inner]
    return found


def _replace(holder: Any, at: Any, chance: random.Random) -> None:
    holder[at] = any_value(chance)


def _nudge(holder: Any, at: Any, chance: random.Random) -> None:
    """A number stays one, mostly an allowed one: so that it comes further than the reader."""
    value = holder[at]
    if isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < 1e300:
        holder[at] = chance.choice(
            [-value, 2 * value, value / 3, value + 1, value - 1, value * 1e-7, value * 1e5, value + 360, 0]
        )
    elif isinstance(value, str):
        holder[at] = chance.choice(TEXTS)
    else:
        holder[at] = any_value(chance)


def _drop(holder: Any, at: Any, _: random.Random) -> None:
    del holder[at]


def _double(holder: Any, at: Any, chance: random.Random) -> None:
    if isinstance(holder, list):
        holder[at:at] = [copy.deepcopy(holder[at]) for _ in range(chance.choice([1, 1, 2, 30]))]
    else:
        holder[any_key(chance)] = copy.deepcopy(holder[at])


def _add(holder: Any, at: Any, chance: random.Random) -> None:
    if isinstance(holder, dict):
        holder[any_key(chance)] = any_value(chance)
    else:
        holder.insert(at, any_value(chance))


def _shuffle(holder: Any, at: Any, chance: random.Random) -> None:
    if isinstance(holder[at], list):
        chance.shuffle(holder[at])
    elif isinstance(holder, dict):
        holder[any_key(chance)] = holder.pop(at)


_CHANGES: list[Callable[[Any, Any, random.Random], None]] = [_replace, _nudge, _nudge, _nudge, _drop, _double, _add, _shuffle]


def changed(tree: Any, chance: random.Random) -> None:
    """Change a tree in place, in one to six places."""
    for _ in range(chance.choice([1, 1, 2, 3, 6])):
        places = _places(tree)
        if not places:
            return
        if chance.random() < 0.2:
            # A value from somewhere else: of a kind that exists, at a place where it does not belong.
            (holder, at), (other, there) = chance.choice(places), chance.choice(places)
            holder[at] = copy.deepcopy(other[there])
        else:
            chance.choice(_CHANGES)(*chance.choice(places), chance)


def written(tree: Any, chance: random.Random) -> bytes:
    """A tree as the bytes of a file, now and then with what no tree can hold or no file should."""
    places = _places(tree)
    hole = places and chance.random() < 0.25
    if hole:
        holder, at = chance.choice(places)
        holder[at] = _HOLE
    text = json.dumps(tree, ensure_ascii=chance.random() < 0.7, indent=chance.choice([None, None, 1]))
    if hole:
        text = text.replace(json.dumps(_HOLE), chance.choice(LITERALS)).replace(f'"{_HOLE}"', chance.choice(LITERALS))
    content = text.encode("utf-8", "surrogatepass")
    return spoiled(content, chance) if chance.random() < 0.2 else content


def spoiled(content: bytes, chance: random.Random) -> bytes:
    """What becomes of a file on its way: cut, marked, in another encoding, with wrong bytes, much too long."""
    at = chance.randrange(len(content) + 1)
    kind = chance.randrange(9)
    if kind == 0:
        return content[:at]
    if kind == 1:
        return b"\xef\xbb\xbf" + content
    if kind == 2:
        return content.decode("utf-8", "replace").encode(chance.choice(["utf-16", "utf-32", "utf-16-be", "utf-7"]))
    if kind == 3:
        return content[:at] + bytes([chance.randrange(256)]) + content[at + 1 :]
    if kind == 4:
        return content[:at] + chance.choice([b"\xed\xa0\x80", b"\xff", b"\xc0\xaf", b"\0", b"\xf4\x90\x80\x80"]) + content[at:]
    if kind == 5:
        return content + chance.choice([b"\n", b"\0", b"{}", b"]", b" x"])
    if kind == 6:
        return content[:at] + content[at : at + 200] * chance.choice([2, 9, 2000]) + content[at:]
    if kind == 7:
        return chance.choice([b" " * 2_000_000, b"\xef\xbb\xbf" * 2]) + content
    return content.replace(b'"', b'"x', chance.randrange(3))


def no_job(chance: random.Random) -> bytes:
    """Anything but a job: JSON of another kind, literals, bytes."""
    kind = chance.randrange(5)
    if kind == 0:
        return bytes(chance.randrange(256) for _ in range(chance.randrange(60)))
    if kind == 1:
        return chance.choice(LITERALS).encode("utf-8", "surrogatepass")
    if kind == 2:
        calculation = chance.choice(list(CALCULATIONS.values()))
        return json.dumps(calculation.example).encode()
    tree = any_value(chance, 6)
    if kind == 3 and isinstance(tree, dict):
        tree |= {"format": "spillmark-job", "version": 1}
    return written(tree, chance)


def any_file(chance: random.Random) -> bytes:
    """A file: mostly a changed job."""
    kind = chance.random()
    if kind < 0.15:
        return no_job(chance)
    # Big ones are rare: one is as slow to make as a hundred others.
    if kind < 0.151:
        return json.dumps({"title": "x" * 10_000_000}).encode()
    tree = json.loads(chance.choice(_sound_jobs()))
    changed(tree, chance)
    return written(tree, chance)
