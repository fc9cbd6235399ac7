"""The service worker's own rules, without a browser: what no test in a browser can bring about at will.

Its script runs in a world of fakes (`worker.mjs`). A worker is ended and started again between any two steps by `start`.
"""

import json
import subprocess
from typing import Any

from site_demo.app import CODE
from site_demo.setup_env import node_environment
from tests.pages import finding

SCOPE = "http://ship.example/site/"
A = {"index.html": "page A", "part.js": "part A", "same.css": "same"}
B = {"index.html": "page B", "part.js": "part B", "same.css": "same"}
C = {"index.html": "page C", "part.js": "part C", "same.css": "same"}
KEEP, SWITCH = {"do": "keep"}, {"do": "switch"}


def run(*steps: dict[str, Any]) -> list[Any]:
    """What each step gave."""
    done = subprocess.run(
        [finding.node(), "tests/site_demo/worker.mjs"],
        input=json.dumps({"code": CODE.read_text("utf-8"), "steps": steps}),
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=finding.ROOT,
        env=node_environment(),
        check=False,
    )
    assert done.returncode == 0, done.stderr
    given: list[Any] = json.loads(done.stdout)
    return given


def start(name: str, files: dict[str, str]) -> dict[str, Any]:
    return {"do": "start", "name": name, "files": files}


def serve(files: dict[str, str] | None) -> dict[str, Any]:
    """What the server has from now on; None: there is no network."""
    return {"do": "serve", "files": files}


def opens(page: str, path: str = "index.html") -> dict[str, Any]:
    return {"do": "open", "page": page, "path": path}


def gets(page: str, path: str = "part.js") -> dict[str, Any]:
    return {"do": "get", "page": page, "path": path}


def tell(page: str, message: dict[str, Any]) -> dict[str, Any]:
    return {"do": "tell", "page": page, "message": message}


# One visit with version A, kept whole, and the page closed again.
VISITED = (serve(A), start("A", A), opens("first"), tell("first", KEEP), {"do": "close", "page": "first"})


def texts(given: list[Any]) -> list[str]:
    """The texts of the answers among what steps gave."""
    return [each["text"] for each in given if isinstance(each, dict) and "text" in each]


def test_every_page_keeps_its_build_through_two_updates_and_any_number_of_workers() -> None:
    given = run(
        *VISITED, opens("old"),
        serve(B), start("B", B), tell("old", KEEP), tell("old", SWITCH), opens("middle"),
        serve(C), start("C", C), tell("old", KEEP), tell("old", SWITCH), opens("new"),
        # As after each pause: the worker knows nothing but what it has written down.
        serve(None), start("C", C), gets("old"), gets("middle"), gets("new"), gets("old", "same.css"),
    )  # fmt: skip
    assert texts(given) == ["page A", "page A", "page B", "page C", "part A", "part B", "part C", "same"]


def test_files_of_a_build_go_with_its_last_page() -> None:
    """A page that is just opening is not among the open ones yet, so a minute has to pass."""
    switched = (*VISITED, opens("old"), serve(B), start("B", B), tell("old", KEEP), tell("old", SWITCH), opens("new"))
    minute = {"do": "later", "ms": 61_000}
    still = run(*switched, minute, tell("new", KEEP), {"do": "kept"})[-1]
    assert len(still) == len({*A.values(), *B.values()}) == 5
    gone = run(*switched, {"do": "close", "page": "old"}, minute, tell("new", KEEP), {"do": "kept"})[-1]
    assert len(gone) == len(B)


def test_an_update_asks_for_nothing_but_what_differs() -> None:
    given = run(*VISITED, opens("page"), {"do": "asked"}, serve(B), start("B", B), tell("page", KEEP), {"do": "asked"})
    assert sorted(given[-1]) == [f"{SCOPE}index.html", f"{SCOPE}part.js"]
    assert given[-2]["phase"] == "whole"
    assert (given[-2]["current"]["name"], given[-2]["next"]["name"], given[-2]["mine"]) == ("A", "B", "A")


def test_it_asks_for_nothing_that_is_not_in_its_list() -> None:
    """Not even when a page of its own does."""
    paths = ("part.js?x=1", "secret.json", "../other", "")
    given = run(
        *VISITED,
        {"do": "asked"},
        opens("page"),
        *(gets("page", path) for path in paths),
        opens("none", "no/page"),
        {"do": "asked"},
    )
    *answers, nowhere, asked = given[7:]
    assert [each if isinstance(each, str) else each["status"] for each in answers] == [200, 404, "not its business", 200]
    assert nowhere["status"] == 404
    assert '<a href="/site/">' in nowhere["text"]
    assert asked == []


def test_a_copy_is_whole_or_none() -> None:
    """Pages come from the server until the last file is there, and files that are there are not asked for again."""
    halved = {**A, "part.js": "something else"}
    given = run(
        serve(halved), start("A", A), opens("one"), tell("one", KEEP), {"do": "asked"},
        opens("two"), {"do": "asked"},
        serve(A), start("A", A), tell("two", KEEP), {"do": "asked"}, serve(None), opens("three"),
    )  # fmt: skip
    stopped, second, mended = given[3], given[6], given[10]
    assert (stopped["phase"], stopped["trouble"], stopped["detail"], stopped["current"]) == (
        "stopped",
        "unlike",
        "part.js",
        None,
    )
    assert second == [f"{SCOPE}index.html"]
    assert mended == [f"{SCOPE}part.js"]
    assert given[-1] == {"status": 200, "text": "page A"}


def test_half_an_update_leaves_the_version_that_is_there() -> None:
    given = run(
        *VISITED, opens("page"), serve({**B, "part.js": "part A"}), start("B", B),
        tell("page", KEEP), tell("page", SWITCH), opens("next"), gets("next"),
    )  # fmt: skip
    assert texts(given)[-2:] == ["page A", "part A"]


def test_a_page_that_opens_alone_gets_the_new_version() -> None:
    given = run(
        *VISITED, opens("page"), serve(B), start("B", B), tell("page", KEEP), opens("beside"),
        {"do": "close", "page": "page"}, {"do": "close", "page": "beside"}, opens("alone"), gets("alone"),
    )  # fmt: skip
    assert texts(given)[-3:] == ["page A", "page B", "part B"]


def test_no_room_leaves_the_old_version_and_gives_the_room_back() -> None:
    large = {**B, "large.bin": "x" * 5000}
    given = run(
        *VISITED, opens("page"), {"do": "kept"}, serve(large), start("B", large), {"do": "room", "bytes": 4000},
        tell("page", KEEP), {"do": "kept"}, opens("next"),
    )  # fmt: skip
    stopped = given[-3]
    assert (stopped["phase"], stopped["trouble"]) == ("stopped", "full")
    assert given[-2] == given[6]
    assert given[-1]["text"] == "page A"


def test_without_a_network_the_rest_waits() -> None:
    given = run(serve(A), start("A", A), opens("page"), serve(None), tell("page", KEEP), serve(A), tell("page", KEEP))
    assert (given[4]["phase"], given[4]["trouble"]) == ("stopped", "unreachable")
    assert given[6]["phase"] == "whole"


def test_what_is_forgotten_is_not_kept_again_by_itself() -> None:
    given = run(*VISITED, opens("page"), tell("page", {"do": "forget"}), gets("page"), {"do": "stores"}, {"do": "asked"})
    assert given[6]["kind"] == "forgotten"
    assert given[7]["text"] == "part A"
    assert given[-2] == []
    assert given[-1][-1] == f"{SCOPE}part.js"
