"""See that the browsers for the tests are on this machine; as root on Debian, install them."""

import sys
from collections.abc import Callable

from playwright.sync_api import sync_playwright

from site_demo.setup_env import SetupError, apt_install, may_install_system_packages
from tests.pages import finding


def provide(find: Callable[[], str], package: str) -> None:
    """Find a browser, or install its Debian package and find it then."""
    try:
        find()
    except finding.Missing:
        if not may_install_system_packages():
            raise
        apt_install(package)
        find()


def main() -> int:
    """Provide both browsers, or name the command that does."""
    with sync_playwright() as playwright:
        own = playwright.chromium.executable_path
    try:
        provide(lambda: finding.chromium(own), "chromium")
        provide(finding.firefox, "firefox-esr")
    except (finding.Missing, SetupError) as trouble:
        print(f"browsers: {trouble}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
