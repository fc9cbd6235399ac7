"""Firefox, driven over WebDriver BiDi by a Node process that speaks JSON lines (`firefox.mjs`)."""

import json
import queue
import subprocess
import threading
from pathlib import Path
from typing import Any

from . import finding
from .tab import Browser, Message, Person, Profile, Tab

# For any one step of the driver: starting Firefox, loading a page, printing a long one, saving a file.
_STEP_S = 150.0
# Longer than that and than anything a tab waits for in the page: silence beyond it means that the driver hangs.
_SILENCE_S = 180.0


class FirefoxError(RuntimeError):
    """The driver reported that a step failed, or fell silent."""


class FirefoxTab(Tab):
    """A tab of Firefox."""

    def __init__(self, *, firefox: "Firefox", number: int, base: str, downloads: Path, person: int = 0) -> None:
        super().__init__(base=base, downloads=downloads)
        self._firefox = firefox
        self._number = number
        self._call("tab", downloads=str(downloads), person=person)

    def goto(self, address: str) -> None:
        self._call("goto", address=address)

    def evaluate(self, expression: str) -> Any:
        return self._call("evaluate", expression=expression)

    def type(self, text: str) -> None:
        self._call("type", text=text)

    def press(self, key: str) -> None:
        self._call("press", keys=key.split("+") if len(key) > 1 else [key])

    def set_viewport(self, width: int, height: int = 900) -> None:
        self._call("viewport", width=width, height=height)

    def screenshot(self, path: Path, *, full_page: bool = True) -> None:
        self._call("screenshot", path=str(path), fullPage=full_page)

    def pdf(self, path: Path) -> None:
        self._call("pdf", path=str(path))

    def run_before_pages(self, script: str) -> None:
        self._call("before", script=script)

    def close(self) -> None:
        self._call("close")

    def close_by_hand(self) -> None:
        self._call("close", asked=True)

    def hear(self, event: str, text: str, kind: str) -> None:
        """Keep what the driver tells about this tab."""
        if event == "message":
            self._messages.append(Message(kind, text))
        else:
            {
                "error": self._errors,
                "failure": self._failures,
                "request": self._requests,
                "dialog": self._dialogs,
            }[event].append(text)

    def _click(self, selector: str) -> None:
        self._hold_still(selector)
        self._call("click", selector=selector)

    def _hold_still(self, selector: str) -> None:
        """Bring the first match into sight and wait until it stands: a page that still scrolls runs away from the mouse."""
        self.evaluate(
            f"""(async () => {{
                const each = document.querySelector({json.dumps(selector)});
                each.scrollIntoView({{block: "center", behavior: "instant"}});
                const place = () => JSON.stringify(each.getBoundingClientRect());
                for (let [before, tries] = ["", 0]; before !== place() && tries < 50; tries++) {{
                    before = place();
                    await new Promise(resolve => setTimeout(resolve, 20));
                }}
            }})()"""
        )

    def _hover(self, selector: str) -> None:
        self._call("hover", selector=selector)

    def _select(self, selector: str, value: str) -> None:
        self._call("select", selector=selector, value=value)

    def _upload(self, selector: str, files: list[str]) -> None:
        self._call("upload", selector=selector, files=files)

    def _download(self, selector: str) -> Path:
        self._hold_still(selector)
        return Path(self._call("download", selector=selector))

    def _call(self, method: str, **arguments: object) -> Any:
        return self._firefox.call(method, tab=self._number, **arguments)


class Firefox(Browser):
    """A headless Firefox with nothing remembered, under the file policy that users have."""

    def __init__(self, profile: Path | None = None, *, proxy: int | None = None) -> None:
        driver = Path(__file__).with_name("firefox.mjs")
        finding.npm_file("puppeteer-core/package.json")
        self._process = subprocess.Popen(
            [
                *(finding.node(), str(driver), finding.firefox(), str(round(_STEP_S * 1000))),
                *(str(profile or ""), json.dumps(_through(proxy) if proxy else {})),
            ],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._tabs: dict[int, FirefoxTab] = {}
        self._last_tab = 0
        self._last_person = 0
        self._last_call = 0
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        self._answer(0)

    def tab(self, *, base: str, downloads: Path, person: int = 0) -> FirefoxTab:
        """As for every browser; person: whose profile it shares, by number."""
        self._last_tab += 1
        tab = FirefoxTab(firefox=self, number=self._last_tab, base=base, downloads=downloads, person=person)
        self._tabs[self._last_tab] = tab
        return tab

    def person(self, downloads: Path) -> "FirefoxPerson":
        self._last_person += 1
        self.call("arrive", person=self._last_person, downloads=str(downloads))
        return FirefoxPerson(self, self._last_person)

    def profile(self, folder: Path, *, proxy: int | None = None) -> "FirefoxProfile":
        folder.mkdir(exist_ok=True)
        return FirefoxProfile(folder, proxy=proxy)

    def close(self) -> None:
        if self._process.stdin:
            self._process.stdin.close()
        try:
            self._process.wait(timeout=60)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._reader.join()
        if self._process.stdout:
            self._process.stdout.close()

    def call(self, method: str, **arguments: object) -> Any:
        """Have the driver do one thing and wait for its answer."""
        self._last_call += 1
        line = json.dumps({"id": self._last_call, "method": method, **arguments})
        assert self._process.stdin
        try:
            self._process.stdin.write(line + "\n")
            self._process.stdin.flush()
        except BrokenPipeError:
            raise FirefoxError("the Firefox driver has ended; its last words stand above") from None
        return self._answer(self._last_call, method)

    def _answer(self, number: int, method: str = "start") -> Any:
        while True:
            try:
                line = self._lines.get(timeout=_SILENCE_S)
            except queue.Empty:
                raise FirefoxError(f"{method}: no answer within {_SILENCE_S:g} s") from None
            if line is None:
                raise FirefoxError(f"{method}: the Firefox driver has ended; see its words above")
            said = json.loads(line)
            if "event" in said:
                if said["tab"] in self._tabs:
                    self._tabs[said["tab"]].hear(said["event"], said["text"], said["kind"])
            elif said["id"] == number:
                if "error" in said:
                    raise FirefoxError(f"{method}: {said['error']}")
                return said["result"]

    def _read(self) -> None:
        assert self._process.stdout
        for line in self._process.stdout:
            self._lines.put(line)
        self._lines.put(None)


def _through(port: int) -> dict[str, str | int]:
    """The preferences that send all but what is for this machine through a proxy on it."""
    # A form that goes out unencrypted would wait for a person's yes.
    preferences: dict[str, str | int] = {"network.proxy.type": 1, "security.warn_submit_secure_to_insecure": False}
    for scheme in ("http", "ssl"):
        preferences |= {f"network.proxy.{scheme}": "127.0.0.1", f"network.proxy.{scheme}_port": port}
    return preferences


class FirefoxPerson(Person):
    """Tabs of one profile in a headless Firefox."""

    def __init__(self, firefox: Firefox, number: int) -> None:
        self._firefox = firefox
        self._number = number

    def tab(self, *, base: str, downloads: Path) -> FirefoxTab:
        return self._firefox.tab(base=base, downloads=downloads, person=self._number)

    def close(self) -> None:
        self._firefox.call("leave", person=self._number)


class FirefoxProfile(Profile):
    """A headless Firefox on a profile that stays."""

    def __init__(self, folder: Path, *, proxy: int | None = None) -> None:
        self._firefox = Firefox(folder, proxy=proxy)

    def tab(self, *, base: str, downloads: Path) -> FirefoxTab:
        return self._firefox.tab(base=base, downloads=downloads)

    def kill(self) -> float:
        when = float(self._firefox.call("kill")) / 1000
        self.close()
        return when

    def close(self) -> None:
        self._firefox.close()
