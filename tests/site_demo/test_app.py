"""The list in the service worker, the manifest, and the server for those who work on the pages."""

import hashlib
import json
import re
import struct
import threading
import urllib.request
from functools import partial
from http.server import ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from site_demo import app
from site_demo.serve import Handler
from site_demo.stamps import ROOT
from tests.pages import built

STYLES = ":root { --md-primary-fg-color: #123abc; }"


def site_with(folder: Path, **files: str) -> Path:
    """A site of a few files, named with `_` for the point."""
    (folder / "stylesheets").mkdir(parents=True)
    (folder / "stylesheets" / "site.css").write_text(STYLES, "utf-8")
    for name, text in files.items():
        (folder / name.replace("_", ".")).write_text(text, "utf-8")
    return folder


def listed(site: Path) -> dict[str, Any]:
    """The build as its worker reads it."""
    found = re.match(r"globalThis\.spillmarkBuild=(\{.*\});\n", (site / app.WORKER).read_text("utf-8"))
    assert found
    build: dict[str, Any] = json.loads(found[1])
    return build


def test_the_worker_lists_every_file_but_itself(tmp_path: Path) -> None:
    site = site_with(tmp_path / "site", index_html="°", sitemap_xml="<x>")
    name = app.write_worker(site, "1.2.3", "code();")
    build = listed(site)
    assert (build["name"], build["version"]) == (name, "1.2.3")
    assert set(build["files"]) == {"index.html", "stylesheets/site.css"}
    # Two bytes in UTF-8.
    assert build["files"]["index.html"] == [hashlib.sha256(b"\xc2\xb0").hexdigest(), 2]
    assert (site / app.WORKER).read_text("utf-8").endswith(";\ncode();")


def test_the_same_files_make_the_same_worker_and_a_changed_one_another(tmp_path: Path) -> None:
    site = site_with(tmp_path / "site", index_html="a")
    first = app.write_worker(site, "1", "code")
    text = (site / app.WORKER).read_bytes()
    assert app.write_worker(site, "1", "code") == first
    assert (site / app.WORKER).read_bytes() == text
    (site / "index.html").write_text("b", "utf-8")
    assert app.write_worker(site, "1", "code") != first


def test_the_built_site_lists_what_it_has() -> None:
    """Of every file the size and check sum that it has now."""
    site = built.folder()
    files = {path.relative_to(site).as_posix(): path for path in site.rglob("*") if path.is_file()}
    build = listed(site)
    assert set(build["files"]) == set(files) - app.NOT_KEPT
    for name, (digest, size) in build["files"].items():
        content = files[name].read_bytes()
        assert (hashlib.sha256(content).hexdigest(), len(content)) == (digest, size), name


def test_the_manifest_names_files_that_are_there() -> None:
    site = built.folder()
    manifest = json.loads((site / app.MANIFEST).read_text("utf-8"))
    assert manifest["name"] == "Spillmark"
    assert manifest["display"] == "standalone"
    named = [
        manifest["start_url"],
        *(each["src"] for each in manifest["icons"]),
        *(each["url"] for each in manifest["shortcuts"]),
    ]
    for path in named:
        assert (site / path).is_file(), path
    for icon in manifest["icons"]:
        if icon["type"] == "image/png":
            # Width and height stand after the head of a PNG and its first chunk's: ISO/IEC 15948, 11.2.2.
            width, height = struct.unpack(">II", (site / icon["src"]).read_bytes()[16:24])
            assert icon["sizes"] == f"{width}x{height}"


def test_the_app_has_the_header_s_colour(tmp_path: Path) -> None:
    assert app.manifest(site_with(tmp_path / "site"))["theme_color"] == "#123abc"
    (tmp_path / "site" / "stylesheets" / "site.css").write_text("p {}", "utf-8")
    with pytest.raises(app.AppError, match=r"site\.css names no --md-primary-fg-color"):
        app.manifest(tmp_path / "site")


def test_the_page_names_the_file_that_takes_copies_back() -> None:
    path = app.RETIRED_CODE.relative_to(ROOT / "docs").as_posix()
    assert path in (ROOT / "docs" / "look-up" / "app.md").read_text("utf-8")
    assert (built.folder() / path).is_file()


def test_the_server_for_work_on_the_pages_keeps_no_copy(tmp_path: Path) -> None:
    """It hands out the worker that takes copies back, and no other file differs."""
    site = site_with(tmp_path / "site", index_html="a")
    app.write_worker(site, "1", "code")
    with ThreadingHTTPServer(("127.0.0.1", 0), partial(QuietHandler, directory=str(site))) as server:
        threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True).start()
        address = f"http://127.0.0.1:{server.server_port}"
        with urllib.request.urlopen(f"{address}/{app.WORKER}") as answer:
            assert answer.read() == app.RETIRED_CODE.read_bytes()
            assert "javascript" in answer.headers["Content-Type"]
            assert answer.headers["Cache-Control"] == "no-cache"
        with urllib.request.urlopen(f"{address}/index.html") as answer:
            assert answer.read() == b"a"
        server.shutdown()


class QuietHandler(Handler):
    """As the project's own, without its lines on the terminal."""

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""
