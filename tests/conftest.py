"""How properties are tried (the same examples everywhere; `--hypothesis-profile=explore` tries new ones); what is told last."""

from itertools import groupby

import pytest
from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None, max_examples=60, database=None)
settings.register_profile("explore", deadline=None, max_examples=2000)
settings.load_profile("fixed")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Side by side, each process begins with its share of the tests in browsers, which take long; short ones fill the end.

    A process gets a row of neighbours, and a file stays in one piece, since its tests share what they set up.
    """
    workers = getattr(config, "workerinput", {}).get("workercount", 1)
    shares: list[list[pytest.Item]] = [[] for _ in range(workers)]
    others = [item for item in items if item.path.parent.name != "pages"]
    in_browsers = groupby((item for item in items if item.path.parent.name == "pages"), key=lambda item: item.path)
    for file in sorted((list(each) for _, each in in_browsers), key=len, reverse=True):
        min(shares, key=len).extend(file)
    if workers > 1 and any(shares):
        for share in shares:
            room = len(items) // workers + 1 - len(share)
            share += others[:room]
            del others[:room]
        items[:] = [item for share in shares for item in share]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how hard each page is to read, once its test has measured it; here, so that tests side by side say it too."""
    levels = [
        str(text)
        for report in terminalreporter.getreports("passed") + terminalreporter.getreports("failed")
        for name, text in report.user_properties
        if name == "reading level" and report.when == "call"
    ]
    if levels:
        terminalreporter.section("reading level of the pages (Flesch-Kincaid grade)")
        for text in sorted(levels, key=lambda each: -float(each.split()[0])):
            terminalreporter.write_line(text)
