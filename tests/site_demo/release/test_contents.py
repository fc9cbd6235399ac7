"""What a release's folder holds: pages that start, words that people read, licences of all that is shipped."""

import hashlib
import json
import re
import shutil
import subprocess
from importlib import metadata
from pathlib import Path

import pytest

from site_demo.release import ReleaseError, licences, sums
from site_demo.release.contents import LONGEST_PATH, MARKER, check_names, check_pinned, read_site, release, version_of
from site_demo.release.licences import THEME, parts
from site_demo.setup_env import NODE_MODULES
from tests.docs import plain
from tests.docs.article import pieces
from tests.pages import built

from .small import ORIGIN, SITE, first, unpacked

# How each library says its version in pyodide's wasm.
SAID = {
    "bzip2": b"1.0.6, 6-Sept-2010",
    "expat": b"expat_2.7.3",
    "libmpdec": b"2.5.1",
    "sqlite": b"3.39.0",
    "xz": b"5.2.2",
    "zlib": b"deflate 1.3.1 Copyright",
}


@pytest.fixture(scope="module")
def wasm() -> bytes:
    return (NODE_MODULES / "pyodide" / "pyodide.asm.wasm").read_bytes()


def test_the_same_site_and_commit_make_the_same_files() -> None:
    assert release("0.1.0", SITE, ORIGIN) == first()


def test_every_file_is_on_the_list_and_sha256sum_agrees(tmp_path: Path) -> None:
    folder = unpacked(first(), tmp_path)
    assert set(sums.parse((folder / sums.NAME).read_text("utf-8"))) == set(first().files) - {sums.NAME}
    tool = shutil.which("sha256sum") or "shasum"
    options = ["-a", "256"] if tool == "shasum" else []
    done = subprocess.run([tool, *options, "-c", sums.NAME], cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
    assert "WARNING" not in done.stderr


def test_texts_for_people_are_complete_and_have_the_ends_of_line_of_windows() -> None:
    files = first().files
    texts = {name: data for name, data in files.items() if name.endswith(".txt")}
    assert len(texts) > len(parts())
    for name, data in texts.items():
        assert data.count(b"\n") == data.count(b"\r\n") > 0, name
    readme = files["README.txt"].decode()
    assert "$" not in readme
    assert readme.startswith("Spillmark 0.1.0\r\n")
    for said in (ORIGIN.commit, "2026-11-26 01:02 UTC", "byte for byte"):
        assert said in readme


def test_the_start_page_needs_nothing_but_itself() -> None:
    page = first().files["START-HERE.html"].decode()
    assert "$" not in page
    assert "<script" not in page
    assert "default-src 'none'" in page
    assert page.isascii() or 'charset="utf-8"' in page
    assert set(re.findall(r'(?:href|src)="([^"]+)"', page)) == {
        "site/index.html", "site/worksheet.html", f"site/{MARKER}", "README.txt",
    }  # fmt: skip


def test_what_the_start_page_links_to_is_in_the_site() -> None:
    site = read_site(built.folder())
    assert {"site/index.html", "site/worksheet.html"} <= set(site)
    # Only the release adds it: else the page would take a folder of the build for an unpacked zip.
    assert f"site/{MARKER}" not in site


@pytest.mark.parametrize("name", ["START-HERE.html", "UPDATE.html", "GONE.html"])
def test_its_pages_are_in_plain_language(name: str) -> None:
    page = (Path(licences.__file__).parent / name).read_text("utf-8")
    found = pieces(name, page.replace("<main>", '<main class="md-content__inner">'))
    assert found
    assert not [trouble for piece in found for trouble in plain.troubles(piece)]


def test_the_real_site_fits_every_system() -> None:
    check_names(read_site(built.folder()))


@pytest.mark.parametrize(
    ("files", "told"),
    [
        ({"site/über.html": b""}, "über.html cannot be unpacked everywhere"),
        ({f"site/{'x' * LONGEST_PATH}": b""}, "cannot be unpacked everywhere"),
        ({"site/A.js": b"", "site/a.js": b""}, "differ only in small and capital letters"),
    ],
)
def test_a_path_that_some_system_cannot_unpack_stops_the_release(files: dict[str, bytes], told: str) -> None:
    with pytest.raises(ReleaseError, match=told):
        check_names(files)


def test_a_folder_without_a_site_is_told(tmp_path: Path) -> None:
    with pytest.raises(ReleaseError, match="Build it: make build"):
        read_site(tmp_path)


def test_a_pinned_file_must_be_the_one_that_was_pinned() -> None:
    check_pinned(SITE, {"site/index.html": hashlib.sha256(SITE["site/index.html"]).hexdigest()})
    with pytest.raises(ReleaseError, match="pins 00"):
        check_pinned(SITE, {"site/index.html": "0" * 64})
    with pytest.raises(ReleaseError, match="the site has no such file"):
        check_pinned(SITE, {"site/none.js": "0" * 64})


def test_the_readme_names_what_is_pinned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pinned = tmp_path / "pinned.json"
    pinned.write_text(json.dumps({"site/index.html": hashlib.sha256(SITE["site/index.html"]).hexdigest()}))
    monkeypatch.setattr("site_demo.release.contents.PINNED", pinned)
    assert b"all but:\r\n    site/index.html" in release("0.1.0", SITE, ORIGIN).files["README.txt"]


def test_a_release_says_its_version() -> None:
    assert version_of(first().files) == "0.1.0"


# ---------------------------------------------------------------- licences


def test_every_part_has_a_text_of_its_own_licence() -> None:
    texts = licences.texts()
    index = texts["READ-ME.txt"].decode()
    for part in parts():
        # Two are in the public domain and have a note instead.
        least = 100 if part.licence == "LicenseRef-public-domain" else 500
        assert len(part.text.read_text("utf-8")) >= least, part.name
        assert f"{part.name} {part.version}".strip() in index
        assert part.source in index


def test_each_kept_text_belongs_to_a_part() -> None:
    used = {part.text for part in parts()}
    assert set(licences.TEXTS.iterdir()) <= used


def test_the_parts_name_all_packages_that_the_themes_scripts_and_styles_are_made_of() -> None:
    maps = [file.locate() for file in metadata.distribution(THEME).files or () if file.name.endswith(".map")]
    sources = [each for path in maps for each in json.loads(Path(str(path)).read_text("utf-8"))["sources"]]
    found = {match[1] for each in sources if (match := re.search(r".*node_modules/((?:@[^/]+/)?[^/]+)/", each))}
    # Half of it or more is the theme's own: the maps are there and are read.
    assert {"rxjs", "lunr"} <= found
    assert found <= {part.name for part in parts() if part.inside == THEME}


def test_what_the_bundles_say_of_their_versions_is_right() -> None:
    scripts = built.folder() / "assets" / "javascripts"
    said = "".join(path.read_text("utf-8") for path in scripts.rglob("*.js"))
    versions = {part.name: part.version for part in parts()}
    assert f"clipboard.js v{versions['clipboard']}" in said
    assert f'version="{versions["lunr"]}"' in said


def test_libraries_in_pyodide_say_the_versions_that_are_named(wasm: bytes) -> None:
    versions = {part.name: part.version for part in parts() if part.inside == "CPython" and part.version}
    # zstd's version is a number there, and no text.
    assert set(SAID) == set(versions) - {"zstd"}
    for name, said in SAID.items():
        assert versions[name].encode() in said
        assert said in wasm, name


def test_pyodide_and_emscripten_are_the_installed_ones() -> None:
    lock = json.loads((NODE_MODULES / "pyodide" / "pyodide-lock.json").read_text("utf-8"))["info"]
    versions = {part.name: part.version for part in parts()}
    assert lock["python"] == versions["CPython"]
    assert lock["platform"] == f"emscripten_{versions['emscripten'].replace('.', '_')}"
