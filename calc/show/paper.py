"""What every sheet of paper shares: one self-contained HTML page for A4, its style, its foot, its tables.

Black and white carries everything. Check sum, program and page number stand at the foot of every page, in margin boxes
(CSS Paged Media Module Level 3).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from calc.job.direction import ANGLES
from calc.job.model import Job
from calc.show.markup import Markup, element, joined
from calc.version import PROGRAM

NOTHING = "—"
# To tick, and to write in, by hand.
BOX, TO_WRITE = "☐", "……"

# Nothing can be loaded and nothing can run: a record from a stranger is as safe as its paper.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'"

# The foot of every page stands in its margin, where it covers nothing.
_PAGE = """
@page { size: A4; margin: 12mm 14mm 17mm;
  @bottom-left { content: "%s"; font: 7.5pt sans-serif; white-space: nowrap; }
  @bottom-right { content: "Page " counter(page) " of " counter(pages); font: 7.5pt sans-serif; white-space: nowrap; } }
"""

_STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 182mm; color: #000; background: #fff; font: 9.5pt/1.3 "Liberation Sans", Arial, Helvetica,
  sans-serif; font-variant-numeric: tabular-nums; }
h1 { font-size: 15pt; margin: 0 0 1mm; }
h2 { font-size: 12pt; margin: 5mm 0 1.5mm; border-bottom: 0.4mm solid #000; break-after: avoid; }
h3 { font-size: 10.5pt; margin: 3mm 0 1mm; break-after: avoid; }
p, ul { margin: 1mm 0; overflow-wrap: anywhere; }
ul { padding-left: 5mm; }
li { break-inside: avoid; }
table { border-collapse: collapse; width: 100%; margin: 1mm 0 2mm; font-size: 8.5pt; }
thead { display: table-header-group; }
tr, .keep { break-inside: avoid; }
caption { text-align: left; font-weight: bold; font-size: 9.5pt; padding: 1mm 0; break-after: avoid; }
th, td { border: 0.2mm solid #555; padding: 0.5mm 1.2mm; text-align: left; vertical-align: top; }
thead th { border-bottom: 0.4mm solid #000; vertical-align: bottom; }
td { overflow-wrap: anywhere; }
dl { margin: 1mm 0; display: grid; grid-template-columns: repeat(2, 1fr); column-gap: 6mm; }
dl div { display: flex; gap: 2mm; border-bottom: 0.15mm solid #999; padding: 0.3mm 0; break-inside: avoid; }
dt { flex: 0 0 47%; }
dd { margin: 0; font-weight: bold; overflow-wrap: anywhere; }
.wide { grid-template-columns: 1fr; }
.wide dt { flex-basis: 42mm; }
.complete { font-weight: bold; }
svg { display: block; width: 100%; }
svg.sm-mark { display: inline-block; width: 7mm; height: 3.5mm; vertical-align: -0.6mm; }
.sm-verdict { font-weight: bold; }
.demo, .stop { border: 0.6mm solid #000; padding: 1mm 2mm; font-weight: bold; }
.direction { font-size: 15pt; font-weight: bold; }
.answer { font-size: 11pt; font-weight: bold; }
.quiet { font-size: 8pt; }
.side { display: flex; gap: 4mm; align-items: flex-start; }
.side > :first-child { flex: 0 0 80mm; }
.side > :last-child {  flex: 1 1 0; margin: 0; }
.side svg.sm-chart { max-height: 150mm; }
.many > :first-child { flex-basis: 50mm; }
.many svg.sm-chart { max-height: 130mm; }
.many table { font-size: 7pt; }
.many td, .many th { padding: 0.2mm 0.8mm; line-height: 1.15; }
.many .sm-verdict { white-space: nowrap; }
.many svg.sm-mark { width: 5mm; height: 2.5mm; vertical-align: 0; }
.three { table-layout: fixed; }
.three { font-size: 8pt; line-height: 1.2; }
.three :is(th, td) { padding: 0.3mm 1mm; }
.three th:first-child { width: 16%; }
.three th:nth-child(3) { width: 28%; }
.pair { display: grid; grid-template-columns: 1fr 1fr; column-gap: 5mm; align-items: start; break-inside: avoid; }
.pair > section { min-width: 0; }
.two th:first-child { width: 26%; }
.tight { font-size: 7.5pt; line-height: 1.2; }
.tight :is(th, td) { padding: 0.25mm 1mm; }
.moved { table-layout: fixed; }
.moved th:first-child { width: 22%; }
.confirmed th:first-child { width: 24mm; }
.confirmed th:nth-child(3)[scope="col"] { width: 56mm; }
.lead { break-after: avoid; }
.steps th:first-child { width: 32mm; }
.steps th:nth-child(2)[scope="col"] { width: 18mm; }
.phases { margin: 1mm 0; padding-left: 5mm; columns: 2; column-gap: 8mm; }
.boxes { list-style: none; padding-left: 4mm; text-indent: -4mm; margin: 0 0 1mm; }
.stop p, .stop ul { margin: 0.5mm 0; }
.confirming td { height: 5.4mm; vertical-align: middle; }
.confirming th:first-child { width: 22mm; }
.confirming th:nth-child(3)[scope="col"] { width: 38mm; }
.confirming th:nth-child(4)[scope="col"] { width: 24mm; }
.moving { table-layout: fixed; }
.moving :is(th, td) { height: 7mm; }
.moving thead th, .confirming thead th, .inspecting thead th { height: auto; }
.moving th:first-child { width: 62mm; }
.note { font-weight: normal; }
.inspecting { table-layout: fixed; }
.inspecting td { height: 5.8mm; }
.inspecting th:first-child[scope="col"] { width: 9mm; }
.inspecting th:nth-child(2)[scope="col"] { width: 39mm; }
.inspecting th:nth-child(3)[scope="col"] { width: 42mm; }
svg.sm-trends { max-height: 105mm; }
.sm-signal { border: 0.4mm solid #000; padding: 0.5mm 2mm; margin: 1mm 0; break-inside: avoid; }
.sm-trend .sm-numbers { font-size: 8pt; line-height: 1.15; }
.turning { table-layout: fixed; }
.turning th:first-child { width: 10mm; }
.turning th:nth-child(2) { width: 40mm; }
.turning th:nth-child(6) { width: 14mm; }
.serving td { height: 6mm; }
.book { table-layout: fixed; }
.book th:first-child { width: 10mm; }
.book th:nth-child(2) { width: 58mm; }
.book th:nth-child(5) { width: 34mm; }
.acts th:first-child { width: 52mm; }
.acts th:nth-child(2)[scope="col"] { width: 50mm; }
.readings td:nth-child(2) { white-space: nowrap; }
.sum { font-family: "Liberation Mono", monospace; overflow-wrap: anywhere; }
.station { table-layout: fixed; }
.station thead th { font-size: 10pt; }
.station th:first-child { width: 16mm; }
.station th:nth-child(2) { width: 58mm; }
.station :is(tbody th, td) { border-width: 0 0 0.4mm; padding: 1.5mm 1.5mm 1.5mm 0; line-height: 1.15; }
.station tbody th { font-size: 26pt; }
.station td > strong { font-size: 28pt; }
.station .turn { width: max-content; margin-bottom: 0.5mm; font-size: 16pt; white-space: nowrap; }
.station .turn.other { border: 0.8mm solid #000; padding: 0 1.5mm; }
.station td > div:not(.turn) { break-inside: avoid; margin-bottom: 1mm; }
.station div > strong { display: block; font-size: 17pt; padding-left: 8mm; text-indent: -8mm; }
.station div > span, .station .way { display: block; padding-left: 8mm; font-size: 12pt; }
.station .way { padding-left: 0; font-weight: bold; }
.station + section svg { max-height: 75mm; }
.page { break-before: page; }
.write :is(th, td) { height: 8mm; }
.write thead th { height: auto; }
.form { table-layout: fixed; }
.form th:first-child[scope="col"] { width: 9mm; }
.form th:nth-child(2)[scope="col"] { width: 30mm; }
.form th:nth-child(3)[scope="col"] { width: 23mm; }
.form th:nth-child(4)[scope="col"] { width: 29mm; }
.foot { border-top: 0.2mm solid #000; margin-top: 6mm; padding-top: 1mm; font-size: 8pt; overflow-wrap: anywhere; }
@media screen { body { padding: 6mm 4mm; } }
/* On paper the margin box says it. Firefox knows none; it repeats the foot of a table on every page. */
@media print { .foot { display: none; } }
@supports (-moz-appearance: none) {
  @media print { body { display: table; width: 100%; } .foot { display: table-footer-group; } }
}
"""


def document(title: str, checksum: str, *parts: object, named: str = "job") -> str:
    """One HTML file that needs nothing else.

    Parameters: title, for the window; checksum; the parts of its body, in order; named: what the check sum is of.
    """
    # A style sheet is no place for text from a file: both are the program's own.
    assert checksum.isalnum()
    assert named.isalpha()
    style = _PAGE % f"{PROGRAM}, {named} {checksum}" + _STYLE
    foot = element(
        "footer", {"class": "foot"}, f"{PROGRAM}. Check sum of the {named}: ", element("span", {"class": "sum"}, checksum)
    )
    head = joined(
        element("meta", {"charset": "utf-8"}),
        element("meta", {"http-equiv": "Content-Security-Policy", "content": _POLICY}),
        element("meta", {"name": "viewport", "content": "width=device-width"}),
        element("title", None, title),
        element("style", None, Markup(style)),
    )
    page = element(
        "html", {"lang": "en"}, element("head", None, head), element("body", None, element("main", None, joined(*parts)), foot)
    )
    return f"<!doctype html>\n{page}\n"


def heading(job: Job, title: str) -> Markup:
    """The head of a paper of a whole job."""
    return headed(title, job.reference.rotation, demo=bool(job.demo))


def headed(title: str, rotation: str | None, *, demo: bool) -> Markup:
    """The head of a paper: what it is, for which direction where the job says so, and the demo's mark."""
    large = rotation and element("p", {"class": "direction"}, f"{rotation.capitalize()}. ", ANGLES[rotation])
    mark = element("p", {"class": "demo"}, "Demo: ship and numbers are invented.") if demo else None
    return joined(element("h1", None, title), large or None, mark)


def raw(value: float) -> str:
    """A number as the job file holds it, with a true minus sign.

    >>> raw(12.305), raw(-4.5), raw(60)
    ('12.305', '−4.5', '60')
    """
    return repr(value).replace("-", "−")


def signed_by(name: str | None, at: str | None) -> str:
    """Who, and when; empty where neither is known.

    >>> signed_by("A. Berg, 2/E", "2026-03-14 09:10"), signed_by(None, "09:10"), signed_by(None, None)
    ('A. Berg, 2/E, 2026-03-14 09:10', 'no name, 09:10', '')
    """
    return ", ".join(each for each in (name or ("no name" if at else ""), at) if each)


def facts(pairs: Iterable[tuple[str, object]], css: str | None = None) -> Markup:
    """Names and values in two columns; one above the other where `css` says wide."""
    return element(
        "dl",
        {"class": css},
        [element("div", None, element("dt", None, name), element("dd", None, value)) for name, value in pairs],
    )


def table(
    heads: Sequence[object],
    rows: Iterable[Sequence[object]],
    *,
    caption: str = "",
    css: str | None = None,
) -> Markup:
    """A table whose head repeats on every page; the first cell of a row names it."""
    return element(
        "table",
        {"class": css},
        element("caption", None, caption) if caption else None,
        element("thead", None, element("tr", None, [element("th", {"scope": "col"}, each) for each in heads])),
        element(
            "tbody",
            None,
            [
                element("tr", None, element("th", {"scope": "row"}, first), [element("td", None, each) for each in rest])
                for first, *rest in rows
            ],
        ),
    )


def between(parts: Sequence[object], separator: Markup) -> list[object]:
    """Parts with a separator between them.

    >>> between(["a", "b"], Markup("|"))
    ['a', '|', 'b']
    """
    return [each for part in parts for each in (separator, part)][1:]
