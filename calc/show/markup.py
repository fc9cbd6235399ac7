"""HTML and SVG from plain values. Every text is escaped here, once, so that none from a file can become markup."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from html import escape

_SPECIAL = re.compile(r"[&<>\"']")


class Markup(str):
    """Text that is markup already and goes in as it is."""

    __slots__ = ()


def element(name: str, attributes: Mapping[str, object] | None = None, *children: object) -> Markup:
    """One element. A child that is `Markup` goes in as it is, anything else as escaped text; None is left out.

    >>> print(element("p", {"class": "a"}, "1 < 2", element("br")))
    <p class="a">1 &lt; 2<br></p>
    """
    opening = f"<{name}"
    if attributes:
        for key, value in attributes.items():
            if value is not None:
                opening += _number(key, value) if isinstance(value, float) else _attribute(key, str(value))
    if name in _VOID:
        return Markup(f"{opening}>")
    return Markup(f"{opening}>{_inside(children)}</{name}>")


_VOID = frozenset({"br", "hr", "img", "input", "meta"})


def _number(key: str, value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return f' {key}="{text}"'


# Most attributes are the same few again and again.
@lru_cache(maxsize=1024)
def _attribute(key: str, text: str) -> str:
    return f' {key}="{escape(text)}"'


def joined(*children: object) -> Markup:
    """Children in a row, escaped as in `element`.

    >>> joined("<", Markup("<b>"), None)
    '&lt;<b>'
    """
    return Markup(_inside(children))


# A letter of a formula with its index, not a name of the code: `h_c`, `i_o`, `f_o,new`.
_INDEXED = re.compile(r"\b([A-Za-zμν]|rep)_([A-Za-z0-9]+)")


@lru_cache(maxsize=512)
def lettered(formula: str) -> Markup:
    """A formula with its indices set low.

    >>> lettered("h_c + D / k < 1")
    'h<sub>c</sub> + D / k &lt; 1'
    """
    return Markup(_INDEXED.sub(r"\1<sub>\2</sub>", escape(formula, quote=False)))


def _inside(children: Iterable[object]) -> str:
    parts: list[str] = []
    for child in children:
        if isinstance(child, Markup):
            parts.append(child)
        elif isinstance(child, (list, tuple)):
            parts.append(_inside(child))
        elif child is not None:
            text = str(child)
            parts.append(escape(text, quote=False) if _SPECIAL.search(text) else text)
    return "".join(parts)
