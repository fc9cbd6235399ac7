"""The release's start page, as people find it: in the unpacked folder, and alone, as a look into the zip shows it."""

from collections.abc import Iterator
from pathlib import Path
from string import Template

import pytest

from site_demo.release.contents import HERE, MARKER, UNPACKED

from .chromium import ChromiumTab
from .conftest import BOTH
from .sound import TARGET_PX, WIDTHS
from .tab import Tab

WORDS = {
    "version": "0.1.0",
    "top": "spillmark-0.1.0",
    "sums": "SHA256SUMS",
    "bill": "spillmark-0.1.0.cdx.json",
    "marker": MARKER,
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The start page alone."""
    (tmp_path / "START-HERE.html").write_text(
        Template((HERE / "START-HERE.html").read_text("utf-8")).substitute(WORDS), "utf-8"
    )
    return tmp_path


def unpack(folder: Path) -> None:
    """Put beside it what the zip has."""
    (folder / "site").mkdir()
    (folder / "site" / MARKER).write_bytes(UNPACKED)
    (folder / "site" / "index.html").write_text("<title>The site</title>", "utf-8")


def start(tab: Tab, folder: Path) -> None:
    """Open the start page; from now on the folder is what the page may ask for."""
    tab.base = folder.as_uri() + "/"
    tab.open("START-HERE.html")


def seen(tab: Tab) -> tuple[bool, bool]:
    """Whether the warning is seen, and whether the word that all is there."""
    warning, fine = (tab.evaluate(f"document.querySelector('{each}').checkVisibility()") for each in (".packed", ".unpacked"))
    return bool(warning), bool(fine)


@BOTH
def test_it_warns_where_the_site_is_not_beside_it(tab: Tab, folder: Path) -> None:
    """As when somebody opens it in the zip: its folder holds nothing else."""
    start(tab, folder)
    assert seen(tab) == (True, False)
    # It looked for the site's folder in vain, and for nothing else.
    assert tab.outside_requests() == []
    tab.forget()


@BOTH
def test_in_the_unpacked_folder_it_leads_on(tab: Tab, folder: Path) -> None:
    unpack(folder)
    start(tab, folder)
    assert seen(tab) == (False, True)
    tab.click(".go a")
    tab.wait_for("document.title === 'The site'")


def looks(tab: ChromiumTab) -> Iterator[int]:
    """Each width, in light and dark."""
    for dark in (False, True):
        tab.emulate(dark=dark, reduced_motion=True)
        for width in WIDTHS:
            tab.set_viewport(width)
            yield width


@pytest.mark.parametrize("whole", [True, False])
def test_it_is_sound_in_every_look(chromium_tab: ChromiumTab, folder: Path, whole: bool) -> None:
    if whole:
        unpack(folder)
    start(chromium_tab, folder)
    for width in looks(chromium_tab):
        assert chromium_tab.axe() == []
        assert chromium_tab.evaluate("document.documentElement.scrollWidth") <= width
        assert chromium_tab.evaluate(f"[...document.querySelectorAll('.go a')].every(each => each.offsetHeight >= {TARGET_PX})")
    if not whole:
        chromium_tab.forget()
