"""Chromium, driven by Playwright."""

import contextlib
import os
import signal
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, CDPSession, Dialog, Page, Request, Response, sync_playwright
from playwright.sync_api import Error as PlaywrightError

from . import finding
from .tab import Browser, Message, Person, Profile, Tab

_ARGUMENTS = [
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
    "--no-first-run",
    # Nothing but this machine has a name: a page that calls out is recorded and reaches nobody.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]


# WebAssembly is compiled once and not a second time for speed: that is a third of the work of starting Python, and the tests
# start it often. Measurements leave it as users have it.
_COMPILED_ONCE = "--js-flags=--liftoff-only"


LIGHT, DARK = "default", "slate"
_SWITCH = """async scheme => {
    // Of the theme's scripts, which come last on the worksheet (docs/app/later.js); `document$` is their own sign of life.
    const theme = 'script[src*="/javascripts/bundle."]';
    for (let waits = 0; !globalThis.document$ && document.querySelector(theme) && waits < 100; waits++) {
        await new Promise(resolve => setTimeout(resolve, 30));
    }
    const toggle = document.querySelector(`input[name="__palette"][data-md-color-scheme="${scheme}"]`);
    if (toggle && document.body.dataset.mdColorScheme !== scheme) toggle.click();
}"""


class ChromiumTab(Tab):
    """A tab of Chromium, which besides can show a page as other eyes and paper get it."""

    def __init__(self, *, page: Page, base: str, downloads: Path, alone: bool = True) -> None:
        super().__init__(base=base, downloads=downloads)
        self._page = page
        self._alone = alone
        # Kept open: what was set by it ends with it.
        self._devtools: CDPSession | None = None
        # (kind of resource, address), to weigh a page by what it loads.
        self._kinds: list[tuple[str, str]] = []
        page.set_default_timeout(self.patience_s * 1000)
        page.on("console", lambda line: self._messages.append(Message(line.type, line.text)))
        page.on("pageerror", lambda error: self._errors.append(str(error)))
        page.on("request", self._on_request)
        page.on("requestfailed", self._on_failure)
        page.on("response", self._on_response)
        page.on("dialog", self._on_dialog)

    def goto(self, address: str) -> None:
        self._page.goto(address)

    def evaluate(self, expression: str) -> Any:
        return self._page.evaluate(expression)

    def type(self, text: str) -> None:
        self._page.keyboard.type(text)

    def press(self, key: str) -> None:
        self._page.keyboard.press(key)

    def set_viewport(self, width: int, height: int = 900) -> None:
        self._page.set_viewport_size({"width": width, "height": height})

    def screenshot(self, path: Path, *, full_page: bool = True) -> None:
        self._page.screenshot(path=path, full_page=full_page, animations="disabled")

    def pdf(self, path: Path) -> None:
        self._page.pdf(path=path, format="A4", print_background=True, prefer_css_page_size=True)

    def close(self) -> None:
        if self._alone:
            self._page.context.close()
        else:
            self._page.close()

    def close_by_hand(self) -> None:
        with self._page.expect_event("close"):
            self._page.close(run_before_unload=True)

    def emulate(
        self,
        *,
        dark: bool | None = None,
        reduced_motion: bool | None = None,
        forced_colors: bool | None = None,
        paper: bool | None = None,
    ) -> None:
        """Show the page as it is on a dark screen, without motion, in forced colours, on paper.

        What is left out stays as it was.
        """
        if dark is not None:
            self._page.emulate_media(color_scheme="dark" if dark else "light")
            # The theme asks the browser once and keeps the answer, so an open page is switched as a person switches it.
            self._page.evaluate(_SWITCH, DARK if dark else LIGHT)
        if reduced_motion is not None:
            self._page.emulate_media(reduced_motion="reduce" if reduced_motion else "no-preference")
        if forced_colors is not None:
            self._page.emulate_media(forced_colors="active" if forced_colors else "none")
        if paper is not None:
            self._page.emulate_media(media="print" if paper else "screen")

    def forbid_scripts(self) -> None:
        """Open pages from now on as with JavaScript switched off."""
        self._page.context.new_cdp_session(self._page).send("Emulation.setScriptExecutionDisabled", {"value": True})

    def session(self) -> CDPSession:
        """What Chromium's own tools see of the page."""
        return self._page.context.new_cdp_session(self._page)

    def told(self) -> list[dict[str, Any]]:
        """The accessibility tree, in order. What a screen reader is given are its nodes that are not `ignored`."""
        found = self.session().send("Accessibility.getFullAXTree")
        nodes: list[dict[str, Any]] = found["nodes"]
        return nodes

    def set_time_zone(self, name: str) -> None:
        """Have the page's clock go by another place."""
        self.session().send("Emulation.setTimezoneOverride", {"timezoneId": name})

    def run_before_pages(self, script: str) -> None:
        self._page.add_init_script(script)

    def ask_devtools(self, command: str, **said: Any) -> dict[str, Any]:
        """Ask the browser's own tools for developers, of this tab."""
        self._devtools = self._devtools or self._page.context.new_cdp_session(self._page)
        found: dict[str, Any] = self._devtools.send(command, said)
        return found

    def scripts_and_styles(self) -> list[str]:
        """Addresses of the scripts and style sheets asked for, each once."""
        self._settle()
        wanted = [address for kind, address in self._kinds if kind in ("script", "stylesheet")]
        return list(dict.fromkeys(wanted))

    def forget(self) -> None:
        super().forget()
        self._kinds.clear()

    def _click(self, selector: str) -> None:
        self._page.locator(selector).first.click()

    def _hover(self, selector: str) -> None:
        self._page.locator(selector).first.hover()

    def _select(self, selector: str, value: str) -> None:
        self._page.locator(selector).first.select_option(value)

    def _upload(self, selector: str, files: list[str]) -> None:
        self._page.locator(selector).first.set_input_files(files)

    def _download(self, selector: str) -> Path:
        with self._page.expect_download() as waiting:
            self._click(selector)
        path = self.downloads / waiting.value.suggested_filename
        waiting.value.save_as(path)
        return path

    def _on_request(self, request: Request) -> None:
        self._requests.append(request.url)
        self._kinds.append((request.resource_type, request.url))

    def _on_failure(self, request: Request) -> None:
        # What is given up because the page itself was left is no failure.
        if request.failure != "net::ERR_ABORTED":
            self._failures.append(f"{request.url} ({request.failure})")

    def _on_response(self, response: Response) -> None:
        if response.status >= 400:
            self._failures.append(f"{response.url} (status {response.status})")

    def _on_dialog(self, dialog: Dialog) -> None:
        self._dialogs.append(dialog.message)
        dialog.accept()


class Chromium(Browser):
    """A headless Chromium with nothing remembered."""

    def __init__(self, *, compiles_once: bool = False) -> None:
        self._arguments = [*_ARGUMENTS, *([_COMPILED_ONCE] if compiles_once else [])]
        self._playwright = sync_playwright().start()
        try:
            self._program = finding.chromium(self._playwright.chromium.executable_path)
            self._browser = self._playwright.chromium.launch(
                executable_path=self._program,
                chromium_sandbox=not finding.is_root(),
                args=self._arguments,
            )
        except BaseException:
            self._playwright.stop()
            raise

    def tab(self, *, base: str, downloads: Path) -> ChromiumTab:
        return ChromiumTab(page=self._browser.new_page(), base=base, downloads=downloads)

    def person(self, downloads: Path) -> "ChromiumPerson":
        return ChromiumPerson(self._browser.new_context())

    def processes(self, kind: str) -> list[int]:
        """The browser's processes of a kind, as "renderer"."""
        told = self._browser.new_browser_cdp_session().send("SystemInfo.getProcessInfo")
        return [each["id"] for each in told["processInfo"] if each["type"] == kind]

    def profile(self, folder: Path, *, proxy: int | None = None) -> "ChromiumProfile":
        context = self._playwright.chromium.launch_persistent_context(
            folder,
            executable_path=self._program,
            chromium_sandbox=not finding.is_root(),
            args=[*self._arguments, *([f"--proxy-server=127.0.0.1:{proxy}"] if proxy else [])],
        )
        return ChromiumProfile(context=context, folder=folder)

    def close(self) -> None:
        try:
            self._browser.close()
        except PlaywrightError:
            pass  # it ended by itself; that is what was asked for
        finally:
            self._playwright.stop()


class ChromiumPerson(Person):
    """Tabs of one profile in a headless Chromium."""

    def __init__(self, context: BrowserContext) -> None:
        self._context = context

    def tab(self, *, base: str, downloads: Path) -> ChromiumTab:
        return ChromiumTab(page=self._context.new_page(), base=base, downloads=downloads, alone=False)

    def close(self) -> None:
        # It may have been killed before.
        with contextlib.suppress(PlaywrightError):
            self._context.close()


class ChromiumProfile(ChromiumPerson, Profile):
    """A headless Chromium on a profile that stays."""

    def __init__(self, *, context: BrowserContext, folder: Path) -> None:
        super().__init__(context)
        self._folder = folder

    def kill(self) -> float:
        # The lock of a profile is a link to "machine-process".
        lock = self._folder / "SingletonLock"
        process = int(str(lock.readlink()).rsplit("-", 1)[1])
        # Playwright starts it at the head of a group of its own.
        os.killpg(process, signal.SIGKILL)
        when = time.time()
        self.close()
        end = time.monotonic() + 60
        while Path(f"/proc/{process}").exists() and time.monotonic() < end:
            time.sleep(0.02)
        lock.unlink(missing_ok=True)
        return when
