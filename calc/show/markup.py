"""HTML and SVG from plain values. Every text is escaped here, once, so that none from a file can become markup."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape


class Markup(str):
    """Text that is markup already and goes in as it is."""

    __slots__ = ()


def element(name: str, attributes: Mapping[str, object] | None = None, *children: object) -> Markup:
    """One element. A child that is `Markup` goes in as it is, anything else as escaped text; None is left out.

    >>> print(element("p", {"class": "a"}, "1 < 2", element("br")))
    <p class="a">1 &lt; 2<br></p>
    """
    opening = f"<{name}{''.join(_attribute(key, value) for key, value in (attributes or {}).items())}>"
    if name in _VOID:
        return Markup(opening)
    return Markup(f"{opening}{joined(*children)}</{name}>")


_VOID = frozenset({"br", "hr", "img", "meta"})


def _attribute(key: str, value: object) -> str:
    if value is None:
        return ""
    text = f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
    return f' {key}="{escape(text)}"'


def joined(*children: object) -> Markup:
    """Children in a row, escaped as in `element`.

    >>> joined("<", Markup("<b>"), None)
    '&lt;<b>'
    """
    return Markup("".join(_child(child) for child in children))


def _child(child: object) -> str:
    if child is None:
        return ""
    if isinstance(child, Markup):
        return child
    if isinstance(child, (list, tuple)):
        return joined(*child)
    return escape(str(child), quote=False)
