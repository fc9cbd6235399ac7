"""Lessons as a trainee uses them: questions answered, others like them, progress, the record on paper."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from calc.job.describe import CHOICE
from calc.show.lessons import marked_part, question_part
from calc.teach.lessons import FIRST, KINDS, LESSONS, question_of

from . import built
from .chromium import ChromiumTab
from .conftest import BOTH, ONE, _on
from .sound import looks, too_small
from .tab import Tab

READY = "document.documentElement.dataset.calc === 'ready'"
PYTHON_S = 90
DEMAND = "performance.getEntriesByType('resource').filter(each => each.name.endsWith('python-payload.js')).length"
FIRST_LESSON, ROD_LESSON = LESSONS[0], LESSONS[3]


def page_of(name: str) -> str:
    return f"learn/{name}.html"


def box(name: str) -> str:
    return f"[data-question={name}]"


def said(name: str) -> str:
    return f"document.querySelector({json.dumps(box(name) + ' .qu-answer')})"


def open_lesson(tab: Tab, lesson: str) -> None:
    tab.open(page_of(lesson))
    tab.wait_for_element(f"{box(next(iter(LESSONS_BY_NAME[lesson].kinds)))} [data-act=check]")


LESSONS_BY_NAME = {lesson.name: lesson for lesson in LESSONS}


def typed_answer(name: str, number: int, slip: int | None = None) -> str:
    """The right answer, or that of a wrong idea, as it is typed."""
    question = question_of(name, number)
    answer = question.answer if slip is None else question.slips[slip].answer
    return answer if isinstance(answer, str) else f"{answer:.{question.decimals}f}"


def give(tab: Tab, name: str, text: str) -> None:
    """Answer a question and press its button."""
    if question_of(name, FIRST).field.kind == CHOICE:
        tab.click(f"{box(name)} input[value={text}]")
    else:
        tab.fill(f"{box(name)} input[type=text]", text)
    tab.click(f"{box(name)} [data-act=check]")


def is_said(tab: Tab, name: str, number: int, text: str) -> None:
    """The page says what Python here says."""
    html = json.dumps(marked_part(name, number, text)["html"])
    shown = f"(() => {{ const box = document.createElement('div'); box.innerHTML = {html}; return box.textContent; }})()"
    tab.wait_for(f"{said(name)}.textContent === {shown}", timeout_s=PYTHON_S)


def body_of(name: str) -> str:
    return f"document.querySelector({json.dumps(box(name) + ' .qu-body')}).textContent"


def asked(name: str, number: int) -> str:
    """What stands in a question's place on the page, as Python here asks it."""
    html = json.dumps(question_part(name, number))
    return (
        f"(() => {{ const box = document.createElement('div'); box.innerHTML = {html}; "
        "box.querySelector('.qu-working').remove(); return box.textContent; })()"
    )


def marked(tab: Tab, name: str) -> str:
    return str(tab.evaluate(f"document.querySelector({json.dumps(box(name) + ' .qu-mark')}).textContent"))


def kept(tab: Tab) -> Any:
    return tab.evaluate("localStorage.getItem('spillmark.lessons')")


def test_every_lesson_has_its_page_its_example_and_its_questions(site: Path) -> None:
    """Also without any script: question, choices, answer and working stand in the page itself."""
    for at, lesson in enumerate(LESSONS, 1):
        source = (site / page_of(lesson.name)).read_text("utf-8")
        assert f"{at}. {lesson.title}" in source
        assert re.findall(r'data-question="([^"]*)"', source) == list(lesson.kinds)
        for name in lesson.kinds:
            assert question_part(name, FIRST) in source, name
        example = question_of(lesson.example, 0)
        assert example.working[-1].value in source
        # A link may stand in the middle of it.
        assert example.told(example.answer) in re.sub(r"<[^>]*>", "", source)
    assert built.page(site, "learn/index")


@ONE
def test_a_question_is_answered_wrongly_then_rightly_then_asked_anew(tab: Tab) -> None:
    open_lesson(tab, "lesson-4")
    for name, number in (("cam-part", FIRST), ("rod-or-cam", FIRST)):
        for slip in range(len(question_of(name, number).slips)):
            text = typed_answer(name, number, slip)
            give(tab, name, text)
            is_said(tab, name, number, text)
            assert tab.text(f"{box(name)} .qu-said").startswith("Not yet. ")
    give(tab, "cam-part", "?")
    is_said(tab, "cam-part", FIRST, "?")
    give(tab, "cam-part", typed_answer("cam-part", FIRST))
    is_said(tab, "cam-part", FIRST, typed_answer("cam-part", FIRST))
    assert marked(tab, "cam-part") == "answered"
    # What could not be read was no attempt.
    slips = len(question_of("cam-part", FIRST).slips)
    assert f"cam-part.{slips + 1}.0.1." in kept(tab)
    # Another one has other numbers, the same everywhere; what was typed is gone, and the focus is in the field.
    tab.click(f"{box('cam-part')} [data-act=another]")
    body, new = body_of("cam-part"), asked("cam-part", FIRST + 1)
    tab.wait_for(f"{body} === {new}")
    assert tab.value(f"{box('cam-part')} input") == ""
    assert tab.evaluate("document.activeElement.name") == "answer-cam-part"
    tab.type(typed_answer("cam-part", FIRST + 1).replace("-", "−").replace(".", ","))
    tab.press("Enter")
    tab.wait_for(f"{said('cam-part')}.textContent.startsWith('Right')")
    # It is there again when the page is: which one it was, and what was typed.
    typed = tab.value(f"{box('cam-part')} input")
    open_lesson(tab, "lesson-4")
    tab.wait_for(f"{body} === {new}", timeout_s=PYTHON_S)
    assert tab.value(f"{box('cam-part')} input") == typed
    assert tab.evaluate(f"document.querySelector({json.dumps(box('rod-or-cam') + ' input:checked')}) !== null")
    assert tab.outside_requests() == []


@ONE
def test_the_browser_draws_the_numbers_that_are_drawn_here(tab: Tab) -> None:
    """Its Python is another version on another machine."""
    for lesson in LESSONS[5], LESSONS[9]:
        open_lesson(tab, lesson.name)
        for name in lesson.kinds:
            for number in (FIRST + 1, FIRST + 2):
                tab.click(f"{box(name)} [data-act=another]")
                tab.wait_for(f"{body_of(name)} === {asked(name, number)}", timeout_s=PYTHON_S)


@ONE
def test_the_working_and_the_first_try(tab: Tab) -> None:
    open_lesson(tab, "lesson-1")
    # A look at the working is no first try; its right answer still counts.
    tab.click(f"{box('delivering')} summary")
    assert question_of("delivering", FIRST).so in tab.text(f"{box('delivering')} .qu-working")
    give(tab, "delivering", typed_answer("delivering", FIRST))
    tab.wait_for(f"{said('delivering')}.textContent.startsWith('Right')", timeout_s=PYTHON_S)
    assert marked(tab, "delivering") == "answered"
    give(tab, "effective-stroke", typed_answer("effective-stroke", FIRST))
    tab.wait_for(f"{said('effective-stroke')}.textContent.startsWith('Right')")
    assert marked(tab, "effective-stroke") == "answered, first try"
    # Nothing that is done afterwards changes it.
    before = kept(tab)
    give(tab, "effective-stroke", "1")
    tab.wait_for(f"{said('effective-stroke')}.textContent.startsWith('Not yet')")
    tab.click(f"{box('effective-stroke')} summary")
    assert kept(tab) == before
    # The way through shows it, forgets it, and brings it back.
    tab.open("learn/index.html")
    place = f"document.querySelector('[data-progress={FIRST_LESSON.name}]').textContent"
    tab.wait_for(f"{place} === 'all 2 right, 1 at the first try'")
    assert tab.evaluate("document.querySelector('[data-progress=lesson-2]').textContent") == "0 of 5 right"
    tab.click("[data-act=forget]")
    tab.wait_for(f"{place} === '0 of 2 right'")
    assert tab.evaluate("document.activeElement.dataset.act") == "undo"
    open_lesson(tab, "lesson-1")
    assert marked(tab, "delivering") == ""
    tab.open("learn/index.html")
    tab.wait_for(f"{place} === '0 of 2 right'")
    assert tab.evaluate("document.querySelector('[data-act=forget]').disabled") is True
    open_lesson(tab, "lesson-1")
    give(tab, "effective-stroke", typed_answer("effective-stroke", FIRST))
    tab.wait_for(f"{said('effective-stroke')}.textContent.startsWith('Right')", timeout_s=PYTHON_S)
    tab.open("learn/index.html")
    tab.click("[data-act=forget]")
    tab.click("[data-act=undo]")
    tab.wait_for(f"{place} === '1 of 2 right'")
    open_lesson(tab, "lesson-1")
    assert marked(tab, "effective-stroke") == "answered, first try"


@BOTH
def test_a_question_is_answered_by_keys_alone(tab: Tab) -> None:
    open_lesson(tab, "lesson-1")
    tab.focus(f"{box('delivering')} input")
    tab.type(" ")
    codes = list(question_of("delivering", FIRST).field.choices)
    for _ in range(codes.index(typed_answer("delivering", FIRST))):
        tab.press("ArrowDown")
    tab.press("Tab")
    assert tab.evaluate("document.activeElement.dataset.act") == "check"
    tab.press("Enter")
    tab.wait_for(f"{said('delivering')}.textContent.startsWith('Right')", timeout_s=PYTHON_S)
    tab.press("Tab")
    assert tab.evaluate("document.activeElement.dataset.act") == "another"
    tab.press("Tab")
    assert tab.evaluate("document.activeElement.localName") == "summary"
    assert tab.evaluate(f"{said('delivering')}.getAttribute('role')") == "status"


@_on("tab", "chromium-file", "firefox-file", "firefox-http")
def test_all_pages_of_the_lessons_share_the_progress(tab: Tab) -> None:
    """Also where each page of a folder has a storage of its own. There it is said, and a page knows on what it once knew."""
    open_lesson(tab, "lesson-1")
    give(tab, "effective-stroke", typed_answer("effective-stroke", FIRST))
    tab.wait_for(f"{said('effective-stroke')}.textContent.startsWith('Right')", timeout_s=PYTHON_S)
    open_lesson(tab, "lesson-4")
    tab.click(f"{box('cam-moved')} summary")
    give(tab, "cam-moved", typed_answer("cam-moved", FIRST))
    tab.wait_for(f"{said('cam-moved')}.textContent.startsWith('Right')", timeout_s=PYTHON_S)
    tab.open("learn/record.html")
    rows = "[...document.querySelectorAll('.tr-lessons tr')].map(row => row.textContent).join('|')"
    tab.wait_for(f"{rows}.includes('1. What starts and ends delivery1 of 21 of 1|')")
    tab.wait_for(f"{rows}.includes('4. Rod or cam1 of 40 of 1|')")
    tab.wait_for(f"{rows}.includes('All lessons2 of {len(KINDS)}1 of 2')")
    apart = tab.evaluate("navigator.userAgent.includes('Firefox') && location.protocol === 'file:'")
    assert tab.evaluate("document.querySelector('[data-pieced]').hidden") is not apart
    # As after the browser was closed: Firefox forgets the cookies of files then, and keeps each page's own storage.
    tab.evaluate("document.cookie = 'spillmark.lessons=; max-age=0', 0")
    tab.open("learn/record.html")
    tab.wait_for(f"{rows}.includes('All lessons2 of {len(KINDS)}1 of 2')")


def test_questions_start_python_when_they_come_near_and_not_before(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    tab.set_viewport(1280, 240)
    open_lesson(tab, "lesson-6")
    assert tab.evaluate(DEMAND) == 0
    give(tab, "largest-u", typed_answer("largest-u", FIRST))
    assert "as soon as Python is ready" in tab.evaluate(f"{said('largest-u')}.textContent")
    is_said(tab, "largest-u", FIRST, typed_answer("largest-u", FIRST))
    for lesson in ("index", "record"):
        tab.open(page_of(lesson))
        assert tab.evaluate("document.documentElement.dataset.calc") is None


def test_lessons_look_right_on_every_screen_and_on_paper(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    open_lesson(tab, "lesson-8")
    give(tab, "own", typed_answer("own", FIRST, 0))
    is_said(tab, "own", FIRST, typed_answer("own", FIRST, 0))
    tab.click(f"{box('common')} summary")
    for _ in looks(tab):
        assert too_small(tab, ".question :is(button, input[type=text], label:has(input[type=radio]), summary)") == []
    tab.emulate(dark=False, reduced_motion=True)
    # On paper stand the questions, and no answer but the one that was opened.
    tab.pdf(tmp_path / "lesson.pdf")
    paper = " ".join(" ".join(page.extract_text() for page in PdfReader(tmp_path / "lesson.pdf").pages).split())
    assert question_of("common", FIRST).so in paper
    for name in ("stroke-read", "imbalance", "tdc-check"):
        assert question_of(name, FIRST).text[-1] in paper
        assert question_of(name, FIRST).so not in paper
    assert "Another one like it" not in paper
    # And printing is no look at the working.
    assert "imbalance" not in kept(tab)


def test_the_record_is_one_sheet_with_room_to_sign(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    tab.open("learn/record.html")
    all_right = "~".join(f"{name}.1.0.1.tpq000" for name in KINDS)
    tab.evaluate(f"localStorage.setItem('spillmark.lessons', '0~' + {json.dumps(all_right)}), 0")
    tab.evaluate("localStorage.setItem('spillmark.practice', JSON.stringify([{score: 60}, {score: 85}, {score: 70}])), 0")
    tab.fill("[name=name]", "A. Trainee")
    tab.open("learn/record.html")
    assert tab.value("[name=name]") == "A. Trainee"
    tab.pdf(tmp_path / "record.pdf")
    (page,) = PdfReader(tmp_path / "record.pdf").pages
    paper = " ".join(page.extract_text().split())
    for lesson in LESSONS:
        count = len(lesson.kinds)
        assert re.search(rf"{re.escape(lesson.title)} {count} of {count} {count} of {count} \d{{4}}-\d\d-\d\d", paper), lesson
    assert "Engines examined: 3. Best score: 85 of 100. Latest score: 70 of 100." in paper
    assert "Signature of the training officer" in paper
    assert "Print the record" not in paper
    assert tab.axe() == []
    # What is no progress is passed over.
    for strange in ("", "~~~", "zz~cam-part.1.0.1", "{}", "0~<b>.1.0.1.aa~cam-part.x.0.1.aa"):
        tab.evaluate(f"localStorage.setItem('spillmark.lessons', {json.dumps(strange)}), 0")
        tab.evaluate("localStorage.setItem('spillmark.practice', 'no JSON'), 0")
        tab.open("learn/record.html")
        tab.wait_for(f"document.querySelector('.tr-lessons tfoot').textContent === 'All lessons0 of {len(KINDS)}'")
        assert tab.text("[data-record-practice]") == "No engine examined on this computer."


@pytest.mark.parametrize("tab_without_python", ["chromium"], indirect=True)
def test_without_python_a_question_can_be_read_and_its_answer_looked_up(tab_without_python: Tab) -> None:
    tab = tab_without_python
    open_lesson(tab, "lesson-4")
    tab.fill(f"{box('cam-part')} input", "0,5")
    tab.click(f"{box('cam-part')} [data-act=check]")
    tab.wait_for("document.documentElement.dataset.calc === 'failed'", timeout_s=PYTHON_S)
    advice = tab.text(f"{box('cam-part')} .ws-failed")
    for words in ("did not start", "answers are folded below", "another browser", "Try again"):
        assert words in advice
    tab.click(f"{box('cam-part')} summary")
    question = question_of("cam-part", FIRST)
    assert question.told(question.answer) in tab.text(f"{box('cam-part')} .qu-working")
    open_lesson(tab, "lesson-4")
    assert tab.value(f"{box('cam-part')} input") == "0,5"
