"""See that the browsers for the tests are on this machine; as root on Debian, install them."""

import ctypes.util
import sys
from functools import partial

from playwright.sync_api import sync_playwright

from site_demo.setup_env import SetupError, apt_install, may_install_system_packages
from tests.pages import finding


def missing_packages() -> list[str]:
    """Debian packages that the tests need and this machine lacks."""
    packages = []
    # Playwright's driver does not start without this library, which a bare Debian lacks.
    if ctypes.util.find_library("atomic") is None:
        packages.append("libatomic1")
    for find, package in ((partial(finding.chromium, ""), "chromium"), (finding.firefox, "firefox-esr")):
        try:
            find()
        except finding.Missing:
            packages.append(package)
    return packages


def main() -> int:
    """Provide both browsers, or name the command that does."""
    try:
        if (packages := missing_packages()) and may_install_system_packages():
            apt_install(*packages)
        if "chromium" in packages:
            # Not installed just now, perhaps, but by Playwright some time ago.
            with sync_playwright() as playwright:
                finding.chromium(playwright.chromium.executable_path)
        finding.firefox()
    except (finding.Missing, SetupError) as trouble:
        print(f"browsers: {trouble}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
