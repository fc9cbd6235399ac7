"""What a running process remembers of `calc`: emptied caches, and functions that get other code."""

from __future__ import annotations

import ast
import gc
import sys
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

Key = tuple[str, int]
CACHE = type(lru_cache(len))
OURS = ("calc", "tests")
_caches: dict[int, list[Any]] = {}


def forget() -> None:
    """Empty every cache of a function of the project."""
    modules = len(sys.modules)
    if modules not in _caches:
        # Looking at every object takes longer than most tests, so it is done once for what is imported.
        _caches.clear()
        _caches[modules] = [each for each in gc.get_objects() if isinstance(each, CACHE) and each.__module__.startswith(OURS)]
    for each in _caches[modules]:
        each.cache_clear()


def _codes(code: CodeType) -> Iterator[CodeType]:
    for each in code.co_consts:
        if isinstance(each, CodeType):
            yield each
            yield from _codes(each)


def put(tree: ast.Module, file: Path) -> int:
    """Give every living function of a module the code of this tree. Returns how many got it.

    Raises ValueError where a function's new code closes over other names than its old one.
    """
    new: dict[Key, CodeType] = {
        (code.co_qualname, code.co_firstlineno): code for code in _codes(compile(tree, str(file), "exec"))
    }
    count = 0
    for each in gc.get_objects():
        if isinstance(each, FunctionType) and each.__code__.co_filename == str(file):
            code = new.get((each.__code__.co_qualname, each.__code__.co_firstlineno))
            if code is not None:
                each.__code__ = code
                count += 1
    return count
