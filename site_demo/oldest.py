"""The oldest browsers in which the pages calculate, derived from what the pages use and since when browsers have it.

The versions are facts of MDN's compatibility data, package @mdn/browser-compat-data 8.1.9 of 2026-11-12 (CC0-1.0), read by
hand under the key that stands beside each. What pyodide's wasm needs was found by validating that of pyodide 314.0.7 with wabt
1.0.39, one feature switched off at a time; what its script needs, by parsing it.
"""

from dataclasses import dataclass

BROWSERS = ("Chrome and Edge", "Firefox", "Safari")


@dataclass(frozen=True, slots=True)
class Feature:
    """Something that a page which calculates cannot do without.

    name, why: for people; key: in the compatibility data; since: version by browser, as in BROWSERS; used: a file of
    the project, or of node_modules, and a text in it that proves the use (none where the file is binary).
    """

    name: str
    why: str
    key: str
    since: tuple[str, str, str]
    used: tuple[str, str] | None


FEATURES = (
    Feature(
        "module workers",
        "Python runs beside the page",
        "api.Worker.Worker.ecmascript_modules",
        ("80", "114", "15"),
        ("docs/app/python/attempt.js", 'type: "module"'),
    ),
    Feature(
        "DecompressionStream",
        "unpacks Python",
        "api.DecompressionStream",
        ("80", "113", "16.4"),
        ("docs/app/python/unpack.js", "new DecompressionStream("),
    ),
    Feature(
        "WebAssembly: exceptions",
        "Python is compiled with them",
        "webassembly.exception-handling",
        ("95", "100", "15.2"),
        None,
    ),
    Feature(
        "WebAssembly: reference types",
        "Python is compiled with them",
        "webassembly.reference-types",
        ("96", "79", "15.1"),
        None,
    ),
    Feature(
        "wasm-unsafe-eval in the security policy",
        "lets WebAssembly run, and nothing else",
        "http.headers.Content-Security-Policy.script-src.wasm-unsafe-eval",
        ("97", "102", "16"),
        ("docs/overrides/main.html", "'wasm-unsafe-eval'"),
    ),
    Feature(
        "static blocks in classes",
        "pyodide's script has them",
        "javascript.classes.static.initialization_blocks",
        ("94", "93", "16.4"),
        ("node_modules/pyodide/pyodide.asm.mjs", "static{"),
    ),
    Feature(
        "checkVisibility",
        "the worksheet calculates what is in sight",
        "api.Element.checkVisibility",
        ("105", "106", "17.4"),
        ("docs/app/steps.js", ".checkVisibility("),
    ),
    Feature(
        "container queries",
        "the worksheet fits a phone and large text",
        "css.at-rules.container",
        ("105", "110", "16"),
        ("docs/stylesheets/worksheet.css", "@container"),
    ),
)


def _order(version: str) -> tuple[int, ...]:
    return tuple(map(int, version.split(".")))


def oldest() -> dict[str, str]:
    """The oldest version of each browser that has them all.

    >>> oldest()
    {'Chrome and Edge': '105', 'Firefox': '114', 'Safari': '17.4'}
    """
    return {browser: max((feature.since[at] for feature in FEATURES), key=_order) for at, browser in enumerate(BROWSERS)}


def sentence() -> str:
    """The same for the middle of a sentence.

    >>> sentence()
    'Chrome and Edge 105, Firefox 114, Safari 17.4'
    """
    return ", ".join(f"{browser} {version}" for browser, version in oldest().items())


def table() -> str:
    """The same for a page: what is needed, why, and since when each browser has it."""
    floor = oldest()
    rows = [
        ("Needed", "Why", *BROWSERS),
        ("---", "---", *("---:" for _ in BROWSERS)),
        *((feature.name, feature.why, *feature.since) for feature in FEATURES),
        ("**all of them**", "", *(f"**{floor[browser]}**" for browser in BROWSERS)),
    ]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows) + "\n"
