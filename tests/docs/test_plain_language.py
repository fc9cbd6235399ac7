"""Every page of the site is in plain language, and what watches over that can see what is not."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.pages import built

from . import plain
from .article import CELL, HEADING, STEP, TEXT, Piece, pieces

# By the tab that a page stands under, see the style guide in DEVELOPERS.md. Measured, and a little more.
MOST_GRADE = {"Before the job": 5.0}
MOST_GRADE_ELSEWHERE = 6.0
MOST_PASSIVE = 0.25
# Lists of what the code says of itself, formulas and citations: rows to look up, and no sentences to read.
LISTS = ("generated/formulas.html", "generated/sources.html")
ENOUGH = 15  # With fewer pieces of text a share says nothing.


@pytest.fixture(scope="module")
def articles() -> dict[str, list[Piece]]:
    site = built.folder()
    return {path: pieces(path, (site / path).read_text("utf-8")) for path in built.pages(site) if path not in LISTS}


def running(found: list[Piece]) -> list[Piece]:
    """What is read as text: tables and headings hold few whole sentences."""
    return [piece for piece in found if piece.kind in (STEP, TEXT)]


def test_every_page_has_its_tab_and_its_text(articles: dict[str, list[Piece]]) -> None:
    for path, found in articles.items():
        assert found, path
        assert found[0].section, path
        assert any(piece.kind == HEADING for piece in found), path
        assert running(found), path


def test_no_page_says_anything_that_plain_language_forbids(articles: dict[str, list[Piece]]) -> None:
    wrong = [
        f"{path}: {piece.kind}: {one}" for path, found in articles.items() for piece in found for one in plain.troubles(piece)
    ]
    assert not wrong, "\n".join(wrong)


def test_pages_say_who_does_it(articles: dict[str, list[Piece]]) -> None:
    shares = {path: plain.passive_share(running(found)) for path, found in articles.items() if len(running(found)) >= ENOUGH}
    assert len(shares) > len(articles) / 2
    wrong = [f"{path}: {share:.0%} of its sentences are passive" for path, share in shares.items() if share > MOST_PASSIVE]
    assert not wrong, "\n".join(wrong)


def test_pages_read_easily(articles: dict[str, list[Piece]], record_property: Callable[[str, object], None]) -> None:
    hard = []
    for path, found in articles.items():
        grade = plain.reading_level(running(found))
        record_property("reading level", f"{grade:5.1f}  {path}")
        most = MOST_GRADE.get(found[0].section, MOST_GRADE_ELSEWHERE)
        if grade > most:
            hard.append(f"{path}: reading level {grade:.1f} where {most} is allowed; shorter sentences and words bring it down")
    assert not hard, "\n".join(hard)


# ---------------------------------------------------------------- the checker itself

GOOD = (
    "Turn ahead until the suction valve is just closing. Read the plunger lift at 12.31 mm.",
    "The lock nut is tight, with the maker's torque.",
    "A rod that is too long holds the valve open (JCGM 100:2008).",
    "Also called clock gauge, or QXV.",
    "4.5° before TDC is an angle that comes before TDC.",
)


@pytest.mark.parametrize("text", GOOD)
def test_plain_text_has_no_trouble(text: str) -> None:
    assert not list(plain.troubles(Piece("a.html", "Learn", TEXT, text)))


LONG = "Turn the flywheel ahead " + "slowly and " * 9 + "then stop it."


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (LONG, "25 words where 20 are allowed"),
        ("The rod is turned after the nut was loosened.", "a chain of passives (is turned, was loosened)"),
        ("The gauge was then carefully read and the value was written down.", "a chain of passives"),
        ("Please turn.", '"Please" is a word to leave out'),
        ("Simply turn it.", '"Simply" is a word to leave out'),
        ("The number is invalid.", '"invalid" is a word to leave out'),
        ("An error occurred.", '"error occurred" is a word to leave out'),
        ("Read the plunger rise.", '"plunger rise" is not in the word list; write plunger lift'),
        ("Note the injection timing angle.", '"injection timing angle" is not in the word list'),
        ("Set the fuel rack to 0.", '"fuel rack" is not in the word list; write fuel index'),
        ("Adjust the pushrod.", '"pushrod" is not in the word list; write push rod'),
        ("Turn forward prior to reading.", '"prior to" is not in the word list; write before'),
        ("Look at QXV on the screen.", "QXV: no letter codes"),
    ],
)
def test_trouble_is_told(text: str, told: str) -> None:
    said = list(plain.troubles(Piece("a.html", "Before the job", STEP, text)))
    assert any(one.startswith(told) for one in said), said


def test_a_step_is_shorter_than_other_text_and_a_list_in_a_cell_is_no_sentence() -> None:
    assert plain.length(LONG) == 25
    assert not list(plain.troubles(Piece("a.html", "", TEXT, LONG)))
    longer = f"{LONG[:-1]} now."
    assert list(plain.troubles(Piece("a.html", "", TEXT, longer)))
    assert list(plain.troubles(Piece("a.html", "", CELL, longer)))
    assert not list(plain.troubles(Piece("a.html", "", CELL, longer[:-1])))


def test_a_hard_text_has_a_higher_reading_level_than_a_plain_one() -> None:
    easy = [Piece("a.html", "", TEXT, "Turn ahead. Stop. Read the gauge. Write it down.")]
    hard = [
        Piece(
            "a.html",
            "",
            TEXT,
            "Subsequent verification of the instrumentation necessitates comprehensive documentation of "
            "all uncertainties associated with the determination of injection characteristics.",
        )
    ]
    assert plain.reading_level(easy) < 2 < MOST_GRADE_ELSEWHERE < plain.reading_level(hard)
    # By hand: 9 words in 4 sentences with 10 syllables.
    assert plain.reading_level(easy) == pytest.approx(0.39 * 9 / 4 + 11.8 * 10 / 9 - 15.59)


def test_the_share_of_passives() -> None:
    texts = ["The rod is turned.", "Turn the rod. It was left alone. It is tight."]
    assert plain.passive_share([Piece("a.html", "", TEXT, text) for text in texts]) == 0.25


PAGE = """
<nav><li class="md-tabs__item md-tabs__item--active"><a href="x">Before the job</a></li><li>Other</li></nav>
<p>Beside the article.</p>
<article class="md-content__inner md-typeset">
<h2 id="a">Steps<a class="headerlink" href="#a">¶</a></h2>
<p>Look at <code>engine.units</code>.<br>Then go on.</p>
<ol><li>Turn.<ul><li>Not too far.</li></ul></li><li><p>Read.</p></li></ol>
<pre>not for people</pre><svg><text>nor this</text></svg>
<table><tr><th>What</th><td>A cell.</td></tr></table>
</article>
<p>After it.</p>
"""


def test_the_article_is_read_in_pieces_with_what_each_is() -> None:
    found = pieces("before/x.html", PAGE)
    assert {piece.section for piece in found} == {"Before the job"}
    assert [(piece.kind, piece.text) for piece in found] == [
        (HEADING, "Steps"),
        (TEXT, "Look at Code . Then go on."),
        (STEP, "Turn."),
        (TEXT, "Not too far."),
        (STEP, "Read."),
        (CELL, "What"),
        (CELL, "A cell."),
    ]


def test_a_page_in_bad_language_is_found(tmp_path: Path) -> None:
    page = tmp_path / "index.html"
    page.write_text(PAGE.replace("Read.", "Please note the plunger rise."), "utf-8")
    told = [one for piece in pieces("index.html", page.read_text("utf-8")) for one in plain.troubles(piece)]
    assert len(told) == 2
