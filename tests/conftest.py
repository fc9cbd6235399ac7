"""How properties are tried (the same examples everywhere; `--hypothesis-profile=explore` tries new ones); what is told last."""

import pytest
from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None, max_examples=60, database=None)
settings.register_profile("explore", deadline=None, max_examples=2000)
settings.load_profile("fixed")


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
