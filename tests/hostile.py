"""Jobs in which every text that somebody can write is hostile: found by the list of fields, so that none is forgotten."""

import copy
import json
from collections.abc import Iterator
from itertools import cycle
from typing import Any

from calc.job.describe import RECORD, RECORDS, TEXT, TEXTS, Field, fields_of, walk
from calc.job.model import Job
from calc.job.read import examine
from tests.job.trees import random_tree
from tests.jobs import DEMO_FILES, tree
from tests.work.sheets import full_job

# To a page, to a spreadsheet, to a terminal, to the eye.
MARKUP = (
    '<img src=x onerror="window.broken=1">',
    '"><script>window.broken=1</script>',
    "javascript:window.broken=1",
    "]]><svg onload=broken=1>",
    "</title><script>window.broken=1</script>",
    "</style><script>window.broken=1</script>",
    "' onfocus='broken=1' autofocus='",
    "<!--",
    "${broken=1}",
    "{{broken=1}}",
    "&lt;img src=x onerror=broken=1&gt;",
)
FORMULAS = ("=cmd|'/C calc'!A0", "@SUM(1+1)", "+1+1", "-2+3", "\t=1+1", "\r=1+1", "\n=1+1", "＝1+1")
CONTROLS = ("\x1b[31m\x1b]0;broken\x07", "\x00", "\x9b2J", "\u202e\u2066reversed", "\u2028\u2029", "\ufeff", "\ud800", "a\r\nb")
LONG = ("W" * 4000, "e\u0301" * 900, "word " * 800)
EVERY = (*MARKUP, *FORMULAS, *CONTROLS, *LONG)
HARMLESS = "Some words"


def text_fields() -> set[str]:
    """The path of every field of a job that takes a text."""
    return {
        path
        for path, field in walk(Job)
        if field.kind in (TEXT, TEXTS) and field.exactly is None and not path.startswith("drafts")
    }


def sources() -> list[Any]:
    """Sound jobs, so many that each field has a text in one of them."""
    return [tree(path) for path in DEMO_FILES] + [full_job(3)] + [random_tree(seed, 3) for seed in range(14)]


def _places(node: Any, cls: type, path: str = "") -> Iterator[tuple[Any, Field, str]]:
    """Every text in a tree, as what holds it, its field, and the field's path."""
    for field in fields_of(cls):
        value = node.get(field.name) if isinstance(node, dict) else None
        here = f"{path}{field.name}"
        if field.kind in (TEXT, TEXTS) and field.exactly is None and value is not None and here != "drafts":
            yield node, field, here
        elif field.kind == RECORD and value is not None:
            assert field.record is not None
            yield from _places(value, field.record, f"{here}.")
        elif field.kind == RECORDS and value is not None:
            assert field.record is not None
            for each in value:
                yield from _places(each, field.record, f"{here}[].")


# Fields whose texts a rule fixes, as found out; and those that a rule does not.
_free: dict[str, bool] = {}
_ROW_NAMES = {name for _, field in walk(Job) for name in field.row_by}


def hostile(source: Any, *texts: str) -> tuple[Any, set[str]]:
    """A job with these texts, in turn, wherever a text stands that no rule fixes.

    A text that names the row of a list stays different in each row. Returns: its tree, and the paths of what was changed.
    """
    job = copy.deepcopy(source)
    changed = set()
    turn = cycle(texts)
    for number, (node, field, path) in enumerate(_places(job, Job)):
        if _free.get(path) is False:
            continue
        before, text = node[field.name], next(turn)
        if field.kind == TEXTS:
            node[field.name] = dict.fromkeys(before, text) if isinstance(before, dict) else [text]
        else:
            node[field.name] = f"{text}{number}" if field.name in _ROW_NAMES and "[]" in path else text
        if path not in _free:
            _free[path] = not examine(job)[1]
        if _free[path]:
            changed.add(path)
        else:
            node[field.name] = before
    # Keys that nobody knows, and drafts of fields, are kept and come back on the form.
    for text in texts:
        job[text or "x"] = {text: text}
    job["drafts"] = {"engine.speed_rpm": texts[0], **{text: text for text in texts}}
    assert not examine(json.loads(json.dumps(job)))[1]
    return job, changed
