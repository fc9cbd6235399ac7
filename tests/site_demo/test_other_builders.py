"""What another builder has made of the pages is compared with what MkDocs made, and every difference is told."""

import subprocess
from pathlib import Path

import pytest

from site_demo import other_builders
from site_demo.other_builders import Outcome, compared, figures_of, told_of
from site_demo.setup_env import SetupError
from site_demo.stamps import ROOT

POLICY = '<meta http-equiv="Content-Security-Policy" content="x">'
ARTICLE = '<html>{policy}<article class="md-content__inner">{tags}<p>{text}</p></article></html>'


def site_of(folder: Path, **pages: str) -> Path:
    """A site of such pages."""
    folder.mkdir()
    for name, html in pages.items():
        (folder / f"{name}.html").write_text(html, "utf-8")
    return folder


def page(text: str, policy: str = POLICY, tags: str = "") -> str:
    """One page as a theme makes it."""
    return ARTICLE.format(policy=policy, tags=tags, text=text)


def test_the_same_pages_differ_in_nothing(tmp_path: Path) -> None:
    ours, theirs = (site_of(tmp_path / name, index=page("Turn it."), rod=page("A rod.")) for name in ("ours", "theirs"))
    outcome = compared(theirs, ours, "1.0")
    assert (outcome.version, outcome.pages) == ("1.0", 2)
    assert not any(figure.missed for figure in figures_of("zensical", outcome))


def test_every_difference_is_counted_and_told(tmp_path: Path) -> None:
    ours = site_of(tmp_path / "ours", index=page("Turn it."), rod=page("A rod."), cam=page("A cam."))
    tags = '<nav class="md-tags"><span>words</span></nav>'
    theirs = site_of(tmp_path / "theirs", index=page("Turn it.", "", tags), rod=page('A <a href="no.html">wheel</a>.'))
    outcome = compared(theirs, ours)
    assert outcome.missing == ("cam.html",)
    assert outcome.reworded == ("rod.html",)
    assert outcome.without_policy == ("index.html",)
    assert outcome.broken == ("rod.html: no.html: no such file",)
    assert outcome.tagged == 1
    assert outcome.unfinished
    assert sum(figure.missed for figure in figures_of("zensical", outcome)) == 4
    told = "\n".join(told_of("zensical", outcome))
    assert all(word in told for word in ("cam.html", "rod.html", "no such file", "search words", "last step"))


def test_a_builder_that_cannot_be_had_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: str) -> Path:
        raise SetupError("Check the network.")

    monkeypatch.setattr(other_builders, "install_apart", refuse)
    outcome = other_builders.built_by("zensical", tmp_path / "work")
    assert outcome == Outcome("", "it cannot be installed: Check the network.")
    assert [(figure.name, figure.missed) for figure in figures_of("zensical", outcome)] == [("zensical_builds", True)]
    assert told_of("zensical", outcome) == ["Zensical does not build the site: it cannot be installed: Check the network."]


def command(folder: Path, script: str) -> Path:
    """A folder with a builder that does this."""
    folder.mkdir()
    builder = folder / "zensical"
    builder.write_text(f'#!/bin/sh\n[ "$1" = --version ] && {{ echo "zensical, version 9.1"; exit; }}\n{script}\n', "utf-8")
    builder.chmod(0o755)
    return folder


def test_a_builder_that_stops_is_told_in_its_own_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    commands = command(tmp_path / "bin", 'echo "no such option" >&2; exit 3')
    monkeypatch.setattr(other_builders, "install_apart", lambda _: commands)
    monkeypatch.setattr(other_builders, "DOCS", site_of(tmp_path / "docs"))
    assert other_builders.built_by("zensical", tmp_path / "work") == Outcome("9.1", "it stopped: no such option")


def test_a_builder_that_hangs_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def hang(*_: object, **__: object) -> None:
        raise subprocess.TimeoutExpired("zensical", 60)

    commands = command(tmp_path / "bin", "true")
    monkeypatch.setattr(other_builders, "install_apart", lambda _: commands)
    monkeypatch.setattr(other_builders, "DOCS", site_of(tmp_path / "docs"))
    run = other_builders._run
    monkeypatch.setattr(other_builders, "_run", lambda line, at: run(line, at) if "--version" in line else hang())
    assert other_builders.built_by("zensical", tmp_path / "work").trouble == "it was not ready after 60 s"


def test_ci_tells_of_other_builders_within_two_minutes_and_never_fails_by_them() -> None:
    *_, last = (ROOT / ".ci" / "run").read_text("utf-8").strip().splitlines()
    assert last.startswith("timeout 120 ")
    assert "site_demo.other_builders --report ||" in last
