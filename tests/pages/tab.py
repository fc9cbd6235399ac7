"""One browser tab as the tests see it: the same words for Chromium and Firefox."""

import json
from abc import ABC, abstractmethod
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from . import finding

# The rules of axe that look at colours; all others ask the same of a page by day and by night.
_OF_COLOURS = ("color-contrast", "link-in-text-block")
# Addresses that name no place: their content travels in the page itself.
_PLACELESS = ("data:", "blob:", "about:")


@dataclass(frozen=True)
class Message:
    """What a page wrote to the console; `kind` is log, info, debug, warning, error…"""

    kind: str
    text: str


@dataclass(frozen=True)
class Violation:
    """A rule of axe-core that the page breaks, and where."""

    rule: str
    impact: str
    help: str
    targets: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.rule} ({self.impact}): {self.help}: {'; '.join(self.targets)}"


class Tab(ABC):
    """A tab, in a profile of its own unless it comes from a `Profile`.

    Selectors are CSS. Whatever waits gives up after `patience_s` with an AssertionError that shows
    what the page itself complained about.
    """

    # What takes a second on a machine that is free may take twenty on one that is not.
    patience_s = 40.0

    def __init__(self, *, base: str, downloads: Path) -> None:
        self.base = base
        self.downloads = downloads
        self._messages: list[Message] = []
        self._errors: list[str] = []
        self._failures: list[str] = []
        self._requests: list[str] = []
        self._dialogs: list[str] = []

    # What each browser does in its own way.

    @abstractmethod
    def goto(self, address: str) -> None:
        """Go to a full address and wait until the page has loaded."""

    @abstractmethod
    def evaluate(self, expression: str) -> Any:
        """The value of a JavaScript expression in the page; a promise is awaited."""

    @abstractmethod
    def type(self, text: str) -> None:
        """Type into whatever has the focus, key by key."""

    @abstractmethod
    def press(self, key: str) -> None:
        """Press a key, with modifiers before it: `Tab`, `Enter`, `Control+a`, `Shift+Tab`."""

    @abstractmethod
    def set_viewport(self, width: int, height: int = 900) -> None:
        """The size of the page's window, in CSS pixels."""

    @abstractmethod
    def screenshot(self, path: Path, *, full_page: bool = True) -> None:
        """Save a PNG of the page."""

    @abstractmethod
    def pdf(self, path: Path) -> None:
        """Save what the printer would get, on A4."""

    @abstractmethod
    def run_before_pages(self, script: str) -> None:
        """Run a script in every page from now on, before the page's own."""

    @abstractmethod
    def close(self) -> None:
        """Close the tab, and throw its profile away where it has one of its own."""

    @abstractmethod
    def close_by_hand(self) -> None:
        """Close the tab as its cross does: the page is asked before. `close` is as abrupt as a crash."""

    @abstractmethod
    def _click(self, selector: str) -> None: ...

    @abstractmethod
    def _hover(self, selector: str) -> None: ...

    @abstractmethod
    def _select(self, selector: str, value: str) -> None: ...

    @abstractmethod
    def _upload(self, selector: str, files: list[str]) -> None: ...

    @abstractmethod
    def _download(self, selector: str) -> Path: ...

    # Going about the page.

    def open(self, path: str) -> None:
        """Open a page of the site by its path from the site's root, such as `worksheet.html`."""
        self.goto(self.base + path)

    def uncover(self, selector: str) -> None:
        """Bring the first match into sight as a person does: open its step of the job by the map, and what is folded."""
        self.wait_for_element(selector)
        self.evaluate(
            f"""(() => {{
                const step = {_first(selector)}.closest("section[data-step][hidden]");
                if (step) document.querySelector(`nav a[data-step="${{step.dataset.step}}"]`).click();
                const folded = {_first(selector)}.closest("details:not([open])");
                if (folded && !{_first(selector)}.closest("summary")) folded.querySelector("summary").click();
            }})()"""
        )

    def click(self, selector: str) -> None:
        """Click the first match with the mouse."""
        self.uncover(selector)
        self._click(selector)

    def hover(self, selector: str) -> None:
        """Move the mouse onto the first match."""
        self.wait_for_element(selector)
        self._hover(selector)

    def focus(self, selector: str) -> None:
        """Give the first match the focus."""
        self.uncover(selector)
        self.evaluate(f"void {_first(selector)}.focus()")

    def fill(self, selector: str, text: str) -> None:
        """Replace what a field holds by `text`, with the keys a person would press."""
        self.focus(selector)
        self.press("Control+a")
        if text:
            self.type(text)
        else:
            self.press("Delete")

    def select(self, selector: str, value: str) -> None:
        """Choose the option with this value."""
        self.uncover(selector)
        self._select(selector, value)

    def upload(self, selector: str, *files: Path) -> None:
        """Give files to an `input type=file`."""
        self.wait_for_element(selector)
        self._upload(selector, [str(file.resolve()) for file in files])

    def download(self, selector: str) -> Path:
        """Click and wait for the file that this saves; gives the saved file, under its own name."""
        self.uncover(selector)
        return self._download(selector)

    # Reading the page.

    def count(self, selector: str) -> int:
        """How many elements match."""
        return int(self.evaluate(f"document.querySelectorAll({json.dumps(selector)}).length"))

    def text(self, selector: str) -> str:
        """What the first match shows as text."""
        self.wait_for_element(selector)
        return str(self.evaluate(f"{_first(selector)}.innerText"))

    def value(self, selector: str) -> str:
        """What the first match, a field, holds."""
        self.wait_for_element(selector)
        return str(self.evaluate(f"{_first(selector)}.value"))

    def attribute(self, selector: str, name: str) -> str | None:
        """An attribute of the first match; None where it has none."""
        self.wait_for_element(selector)
        value = self.evaluate(f"{_first(selector)}.getAttribute({json.dumps(name)})")
        return None if value is None else str(value)

    def html(self) -> str:
        """The page as it stands now."""
        return str(self.evaluate("document.documentElement.outerHTML"))

    # Waiting.

    def wait_for(self, predicate: str, *, timeout_s: float | None = None) -> None:
        """Wait until a JavaScript expression is true; one that throws counts as not yet true.

        Waits too until what is out of sight is drawn (docs/app/rest.js).
        """
        limit = self.patience_s if timeout_s is None else timeout_s
        came = self.evaluate(
            f"""(async () => {{
                const drawing = () => document.documentElement.matches("[data-drawing]");
                const end = performance.now() + {limit * 1000};
                for (;;) {{
                    try {{ if (({predicate}) && !drawing()) return true; }} catch {{ /* not yet */ }}
                    if (performance.now() > end) return false;
                    await new Promise(resolve => setTimeout(resolve, 10));
                }}
            }})()"""
        )
        if not came:
            said = "\n".join(self.complaints()) or "nothing"
            raise AssertionError(f"after {limit:g} s still not so: {predicate}\nthe page complained of: {said}")

    def wait_for_element(self, selector: str, *, timeout_s: float | None = None) -> None:
        """Wait until something matches."""
        self.wait_for(f"{_first(selector)} !== null", timeout_s=timeout_s)

    # What the page did behind the scenes. Each first lets news on its way arrive.

    @property
    def messages(self) -> list[Message]:
        """Everything written to the console, the page's workers' lines included."""
        self._settle()
        return list(self._messages)

    @property
    def errors(self) -> list[str]:
        """Errors that no code caught, and what the browser itself refused."""
        self._settle()
        return list(self._errors)

    @property
    def failures(self) -> list[str]:
        """Requests that failed or were answered with a status from 400 up."""
        self._settle()
        return list(self._failures)

    @property
    def requests(self) -> list[str]:
        """Every address asked for, in order, the page's workers' included.

        Firefox does not report `file:` addresses; Chromium does.
        """
        self._settle()
        return list(self._requests)

    @property
    def dialogs(self) -> list[str]:
        """Texts of the browser's own dialogs; each was answered with yes at once."""
        self._settle()
        return list(self._dialogs)

    def outside_requests(self) -> list[str]:
        """Addresses asked for that are neither a file of the site nor part of the page itself."""
        inside = (self.base, *_PLACELESS)
        return [address for address in self.requests if not address.startswith(inside)]

    def complaints(self) -> list[str]:
        """All that a sound page never causes: errors, failed requests, requests out of the site."""
        self._settle()
        return [
            *(f"page error: {text}" for text in self._errors),
            *(f"console error: {line.text}" for line in self._messages if line.kind == "error"),
            *(f"failed request: {text}" for text in self._failures),
            *(f"request out of the site: {text}" for text in self.outside_requests()),
        ]

    def forget(self) -> None:
        """Start the records anew, for instance after a failure that a test caused on purpose."""
        self._settle()
        for record in (self._messages, self._errors, self._failures, self._requests, self._dialogs):
            record.clear()

    def _settle(self) -> None:
        self.evaluate("0")

    # Accessibility.

    def axe(self, *, colours_alone: bool = False) -> list[Violation]:
        """What axe-core finds wrong with the page as it stands; by the rules of colours alone, if wanted."""
        if not self.evaluate("'axe' in window"):
            script = finding.npm_file("axe-core/axe.min.js").read_text("utf-8")
            self.evaluate(f"{script}; 0")
        # What fades in is too pale until it is there.
        self.evaluate(
            "Promise.allSettled(document.getAnimations().filter(each => each instanceof CSSTransition)"
            ".map(each => each.finished)).then(() => 0)"
        )
        # What sticks to an edge of the window lies on what one scrolls out from under it.
        self.evaluate("void document.querySelectorAll('.ws-foot').forEach(each => (each.style.position = 'static'))")
        # By itself axe leaves the size of targets out.
        wanted = {"runOnly": _OF_COLOURS} if colours_alone else {"rules": {"target-size": {"enabled": True}}}
        # Preloading would fetch style sheets, which a page from a folder may not.
        options = json.dumps({"preload": False, "resultTypes": ["violations"], **wanted})
        found = self.evaluate(
            f"""axe.run(document, {options}).then(result =>
                result.violations.map(one => ({{
                    rule: one.id, impact: String(one.impact), help: one.help,
                    targets: one.nodes.map(node => node.target.flat().join(" ")),
                }})))"""
        )
        self.evaluate("void document.querySelectorAll('.ws-foot').forEach(each => (each.style.position = ''))")
        return [Violation(one["rule"], one["impact"], one["help"], tuple(one["targets"])) for one in found]


class Browser(ABC):
    """A running browser, which hands out tabs."""

    @abstractmethod
    def tab(self, *, base: str, downloads: Path) -> Tab:
        """A tab in a fresh profile; `downloads` is an existing folder for the files it saves."""

    @abstractmethod
    def person(self, downloads: Path) -> "Person":
        """Somebody with a fresh profile who opens several tabs in it, and saves files to `downloads`."""

    @abstractmethod
    def profile(self, folder: Path, *, proxy: int | None = None) -> "Profile":
        """Another browser of this kind, which keeps what it remembers in `folder` and can come back to it.

        proxy: the port on this machine through which it has to go for all that is not on this machine.
        """

    @abstractmethod
    def close(self) -> None:
        """End the browser."""


class Person(ABC):
    """Somebody at a browser: the tabs share what it remembers."""

    @abstractmethod
    def tab(self, *, base: str, downloads: Path) -> Tab:
        """A tab beside the others."""

    @abstractmethod
    def close(self) -> None:
        """Close all tabs and leave."""


class Profile(Person):
    """A browser of its own, whose profile outlives it. To start one takes longer than most tests."""

    @abstractmethod
    def kill(self) -> float:
        """End the browser's processes at once, as a power cut does. Returns: when they had ended, as `time.time` gives it."""


def _first(selector: str) -> str:
    return f"document.querySelector({json.dumps(selector)})"
