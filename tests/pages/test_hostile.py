"""Papers of a job full of hostile texts, opened as somebody does who got them by mail: nothing in them runs."""

import json
from pathlib import Path

import pytest

from calc.browser import respond
from calc.job.form import spread
from tests.hostile import MARKUP, hostile, sources

from .conftest import BOTH
from .tab import Tab
from .test_worksheet import field, open_everything, open_sheet, put

# Whatever would run has had its turn by then.
SETTLED = "new Promise(done => setTimeout(() => requestAnimationFrame(() => done(window.broken ?? null)), 300))"
MADE = "[...document.querySelectorAll('script, img, iframe, object, embed, base, form, [onload], [onerror], [onfocus]')].length"


def only_the_papers(tab: Tab, folder: Path) -> None:
    """Nothing was asked for but the papers themselves, which lie outside the site; and nothing else is complained of."""
    asked = [line.removeprefix("request out of the site: ") for line in tab.complaints()]
    tab.forget()
    assert all(line.startswith(folder.as_uri()) and line.endswith(".html") for line in asked), asked


@BOTH
def test_papers_of_a_hostile_job_run_nothing(tab: Tab, tmp_path: Path) -> None:
    for at, source in enumerate((sources()[0], sources()[3])):
        job, _ = hostile(source, *MARKUP)
        job["title"] = MARKUP[4]
        form = {"texts": spread(job), "base": job}
        requests = [{"do": name, **form} for name in ("record", "handover", "blank")]
        check = json.loads(respond(json.dumps({"do": "past", "name": MARKUP[0], **form}))).get("check")
        if check:
            requests.append({"do": "trend_paper", "checks": [check], "typed": {}, "left_out": {MARKUP[0]: MARKUP[1]}})
        for request in requests:
            paper = tmp_path / f"{at}-{request['do']}.html"
            paper.write_bytes(json.loads(respond(json.dumps(request)))["text"].encode("utf-8", "replace"))
            tab.goto(paper.as_uri())
            assert tab.evaluate(SETTLED) is None, request["do"]
            assert tab.evaluate(MADE) == 0, request["do"]
            title = tab.evaluate("document.title")
            if request["do"] in ("record", "handover"):
                assert "<script>" in title
    assert tab.dialogs == []
    only_the_papers(tab, tmp_path)


@pytest.mark.parametrize("tab", ["chromium-file"], indirect=True)
def test_the_worksheet_with_a_hostile_job_runs_nothing(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    before = tab.evaluate(MADE)
    job, _ = hostile(sources()[3], *MARKUP)
    tab.upload("#open-job", put(tmp_path, job, "=cmd <img src=x onerror=broken=1>.json"))
    tab.wait_for_element("#findings article")
    open_everything(tab)
    assert tab.value(field("title")) == job["title"]
    assert tab.evaluate(SETTLED) is None
    assert tab.evaluate(MADE) == before
    assert tab.evaluate("document.title.includes('<')") is False
    saved = tab.download("#save-record")
    assert saved.name.endswith("-record.html")
    assert set(saved.stem) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    tab.goto(saved.as_uri())
    assert tab.evaluate(SETTLED) is None
    assert tab.dialogs == []
    only_the_papers(tab, tmp_path)
