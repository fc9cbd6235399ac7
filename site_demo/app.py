"""Make a built site an app: its manifest, and the service worker with the list of all files.

The worker keeps exactly the files of this list and knows each by its SHA-256, so it can prove that what it keeps is one build.
Its own file is not in the list: the browser looks after that.
"""

import json
import re
from pathlib import Path
from typing import Any

from site_demo.inventory import build_name, inventory
from site_demo.stamps import ROOT

WORKER = "service-worker.js"
MANIFEST = "manifest.webmanifest"
# The worker's code, and the code that stands in its place where a server wants no copies; see docs/app/serving/worker/.
CODE = ROOT / "docs" / "generated" / "app" / "service-worker.txt"
RETIRED_CODE = CODE.with_name("service-worker-retired.js")
# For servers and search engines. No page loads them, and one of them holds the time of the build.
NOT_KEPT = {WORKER, "sitemap.xml", "sitemap.xml.gz"}
# Name, pixels, and whether a system may cut it to its own shape. Made by `python -m tests.pages.icons`.
ICONS = (("icon-192.png", 192, "any"), ("icon-512.png", 512, "any"), ("icon-maskable-512.png", 512, "maskable"))
DRAWING = "spillmark.svg"


class AppError(Exception):
    """The site's settings or looks lack something that the app needs."""


def _setting(name: str) -> str:
    """A setting of mkdocs.yml, where each stands on a line of its own."""
    found = re.search(rf"^{name}: (.+)$", (ROOT / "mkdocs.yml").read_text(encoding="utf-8"), re.MULTILINE)
    if not found:
        raise AppError(f"mkdocs.yml has no line {name}.")
    return found[1]


def _steel(site: Path) -> str:
    """The colour of the site's header by day."""
    found = re.search(
        r"--md-primary-fg-color:\s*(#[0-9a-f]{6})", (site / "stylesheets" / "site.css").read_text(encoding="utf-8")
    )
    if not found:
        raise AppError("stylesheets/site.css names no --md-primary-fg-color.")
    return found[1]


def manifest(site: Path) -> dict[str, Any]:
    """What the browser needs to install the site as an app. Addresses are relative to the manifest, so any folder will do."""
    icons = [
        {"src": f"assets/{name}", "sizes": f"{size}x{size}", "type": "image/png", "purpose": purpose}
        for name, size, purpose in ICONS
    ]
    name = _setting("site_name")
    return {
        "name": name,
        "short_name": name,
        "description": _setting("site_description"),
        "lang": "en",
        "start_url": "index.html",
        "scope": "./",
        "display": "standalone",
        "theme_color": _steel(site),
        "background_color": "#ffffff",
        "icons": [{"src": f"assets/{DRAWING}", "sizes": "any", "type": "image/svg+xml"}, *icons],
        "shortcuts": [{"name": "Worksheet", "url": "worksheet.html"}],
    }


def write_worker(site: Path, version: str, code: str) -> str:
    """Write the service worker for the files as they are now; gives the name of the build."""
    files = {path: digest for path, digest in inventory(site).items() if path not in NOT_KEPT}
    name = build_name(files)
    listed = {path: [digest, (site / path).stat().st_size] for path, digest in files.items()}
    build = json.dumps({"name": name, "version": version, "files": listed}, separators=(",", ":"))
    (site / WORKER).write_text(f"globalThis.spillmarkBuild={build};\n{code}", encoding="utf-8")
    return name


def write_app(site: Path) -> None:
    """Write manifest and service worker into a site that is finished otherwise."""
    # Here, since a process that serves the site has loaded an older `calc` long ago.
    from calc.version import VERSION

    (site / MANIFEST).write_text(json.dumps(manifest(site), indent=1) + "\n", encoding="utf-8")
    write_worker(site, VERSION, CODE.read_text(encoding="utf-8"))
