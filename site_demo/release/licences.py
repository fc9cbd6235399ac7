"""Whose work a release holds, part by part, and the full text of each licence.

A text comes from the installed package where that carries one, else from `licences/` beside this file.
"""

import json
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from site_demo.setup_env import NODE_MODULES
from site_demo.stamps import ROOT

from . import ReleaseError

TEXTS = Path(__file__).with_name("licences")
THEME = "mkdocs-material"


@dataclass(frozen=True)
class Part:
    """One part that is shipped. licence: SPDX; inside: the part that it came with; text: where its licence's text is.

    purl: its package URL without the version; version: empty where nobody says it.
    """

    name: str
    licence: str
    purl: str
    text: Path
    text_from: str
    source: str
    inside: str = ""
    version: str = ""


def _installed(package: str, path: str) -> Path:
    """A file of an installed Python package, by its path as the package lists it."""
    for file in metadata.distribution(package).files or ():
        if file.as_posix().endswith(path):
            return Path(str(file.locate()))
    raise ReleaseError(f"{package} no longer carries {path}. Name its licence's text anew in site_demo/release/licences.py.")


def _kept(name: str) -> Path:
    return TEXTS / f"{name}.txt"


def _npm_version(name: str) -> str:
    version: str = json.loads((NODE_MODULES / name / "package.json").read_text("utf-8"))["version"]
    return version


def _cpython_version() -> str:
    lock = json.loads((NODE_MODULES / "pyodide" / "pyodide-lock.json").read_text("utf-8"))
    version: str = lock["info"]["python"]
    return version


def parts() -> tuple[Part, ...]:
    """Everything in the site that this project has not written, outermost first."""
    return (*_named(), *_in_cpython(), *_in_the_theme())


def _named() -> tuple[Part, ...]:
    """What the project chose by itself, and what came with pyodide."""
    github = "https://github.com/"
    emscripten = "its repository, August 2026"
    return (
        Part(
            "pyodide", "MPL-2.0", "pkg:npm/pyodide", _kept("MPL-2.0"),
            "the licence as the Mozilla Foundation publishes it; the package names it and carries no text",
            f"{github}pyodide/pyodide", version=_npm_version("pyodide"),
        ),
        Part(
            "error-stack-parser", "MIT", "pkg:npm/error-stack-parser", _kept("error-stack-parser"),
            "npm error-stack-parser 2.1.4, LICENSE", f"{github}stacktracejs/error-stack-parser", "pyodide",
        ),
        Part(
            "stackframe", "MIT", "pkg:npm/stackframe", _kept("stackframe"),
            "npm stackframe 1.3.4, LICENSE", f"{github}stacktracejs/stackframe", "pyodide",
        ),
        Part(
            "CPython", "PSF-2.0", "pkg:generic/cpython", _kept("cpython"),
            "CPython's LICENSE as backports.zstd 1.8.0 carries it", f"{github}python/cpython", "pyodide", _cpython_version(),
        ),
        Part(
            "emscripten", "MIT OR NCSA", "pkg:generic/emscripten", _kept("emscripten"), emscripten,
            f"{github}emscripten-core/emscripten", "pyodide", "5.0.3",
        ),
        Part(
            "musl", "MIT", "pkg:generic/musl", _kept("musl"), "emscripten: system/lib/libc/musl/COPYRIGHT, August 2026",
            "https://musl.libc.org", "emscripten",
        ),
        Part(
            "compiler-rt, libc++ and libunwind", "Apache-2.0 WITH LLVM-exception", "pkg:generic/llvm", _kept("llvm"),
            "emscripten: system/lib/compiler-rt/LICENSE.TXT, August 2026", f"{github}llvm/llvm-project", "emscripten",
        ),
        Part(
            "idb", "ISC", "pkg:npm/idb", NODE_MODULES / "idb" / "LICENSE", "the package",
            f"{github}jakearchibald/idb", version=_npm_version("idb"),
        ),
    )  # fmt: skip


def _in_cpython() -> tuple[Part, ...]:
    """The libraries that pyodide links into CPython. Their versions are what they say themselves in pyodide.asm.wasm."""
    github = "https://github.com/"
    debian = "Debian's file of copyrights of"
    found = (
        ("bzip2", "bzip2-1.0.6", f"{debian} bzip2 1.0.8", "https://sourceware.org/bzip2/", "1.0.6"),
        ("expat", "MIT", f"{debian} expat 2.5.0", f"{github}libexpat/libexpat", "2.7.3"),
        ("hacl-star", "MIT", "CPython: the head of Modules/_hacl/Hacl_Hash_SHA3.c", f"{github}hacl-star/hacl-star", ""),
        ("libffi", "MIT", f"{debian} libffi 3.4.4", f"{github}libffi/libffi", ""),
        ("libmpdec", "BSD-2-Clause", f"{debian} Python 3.11", "https://www.bytereef.org/mpdecimal/", "2.5.1"),
        ("mimalloc", "MIT", "emscripten: system/lib/mimalloc/LICENSE, August 2026", f"{github}microsoft/mimalloc", ""),
        ("sqlite", "LicenseRef-public-domain", "a note: it has no licence", "https://sqlite.org", "3.39.0"),
        ("xz", "LicenseRef-public-domain", "a note: it has no licence", f"{github}tukaani-project/xz", "5.2.2"),
        ("zlib", "Zlib", f"{debian} zlib 1.2.13", "https://zlib.net", "1.3.1"),
        ("zstd", "BSD-3-Clause", "backports.zstd 1.8.0, src/c/zstd/LICENSE", f"{github}facebook/zstd", "1.5.7"),
    )
    return tuple(
        Part(name, licence, f"pkg:generic/{name}", _kept(name), text_from, source, "CPython", version)
        for name, licence, text_from, source, version in found
    )


def _in_the_theme() -> tuple[Part, ...]:
    """The theme, the icons that it draws, and what its scripts are bundled from, which a test compares with its source maps."""
    github = "https://github.com/"
    drawn = (
        ("Material Design Icons", "Apache-2.0", "material/LICENSE", "Templarian/MaterialDesign"),
        ("Font Awesome Free", "CC-BY-4.0", "fontawesome/LICENSE.txt", "FortAwesome/Font-Awesome"),
        ("Octicons", "MIT", "octicons/LICENSE", "primer/octicons"),
    )
    w3c = "the licence of 13 May 2015 as the W3C publishes it; the package names it"
    bundled = (
        ("clipboard", "MIT", "npm clipboard 2.0.11, LICENSE", "zenorocha/clipboard.js", "2.0.11"),
        ("escape-html", "MIT", "npm escape-html 1.0.3, LICENSE", "component/escape-html", ""),
        ("focus-visible", "W3C-20150513", w3c, "WICG/focus-visible", ""),
        ("lunr", "MIT", "npm lunr 2.3.9, LICENSE", "olivernn/lunr.js", "2.3.9"),
        ("material-design-color", "MIT", "npm material-design-color 2.3.2, LICENSE", "mrmlnc/material-color", ""),
        ("rxjs", "Apache-2.0", "npm rxjs 7.8.2, LICENSE.txt", "ReactiveX/rxjs", ""),
        ("tslib", "0BSD", "npm tslib 2.9.1, LICENSE.txt", "microsoft/tslib", ""),
    )
    theme = Part(
        THEME, "MIT", f"pkg:pypi/{THEME}", _installed(THEME, "licenses/LICENSE"), "the package",
        f"{github}squidfunk/mkdocs-material", version=metadata.version(THEME),
    )  # fmt: skip
    icons = (
        Part(
            name, licence, f"pkg:github/{repository.lower()}", _installed(THEME, f"templates/.icons/{text}"),
            "the theme's package", f"{github}{repository}", THEME,
        )
        for name, licence, text, repository in drawn
    )  # fmt: skip
    scripts = (
        Part(name, licence, f"pkg:npm/{name}", _kept(name), text_from, f"{github}{repository}", THEME, version)
        for name, licence, text_from, repository, version in bundled
    )
    return theme, *icons, *scripts


def _file(part: Part) -> str:
    return f"{part.name.replace(', ', ' ')}.txt"


def crlf(text: str) -> bytes:
    """A text for people, with the ends of line that the oldest editors need."""
    return "\r\n".join(text.splitlines()).encode() + b"\r\n"


def texts() -> dict[str, bytes]:
    """The folder of licences: a text for each part, the project's own, and a list that says which is whose."""
    lines = ["Who has made what in this folder, and under which licence.", "", "Spillmark itself: MIT, Spillmark.txt", ""]
    files = {"Spillmark.txt": crlf((ROOT / "LICENSE").read_text("utf-8"))}
    for part in parts():
        name = f"{part.name} {part.version}".strip()
        inside = f" (inside {part.inside})" if part.inside else ""
        lines += [
            f"{name}{inside}: {part.licence}, {_file(part)}",
            f"    Source code: {part.source}",
            f"    Text: {part.text_from}",
            "",
        ]
        files[_file(part)] = crlf(part.text.read_text("utf-8"))
    lines += [
        "Pyodide's files are shipped as they were published, packed into scripts. CPython's library and Spillmark's own",
        "modules are shipped as bytecode, which Pyodide itself has compiled. Nothing else is changed but for what",
        "minifiers and the theme's own build have left out.",
    ]
    return {"READ-ME.txt": crlf("\n".join(lines)), **files}
