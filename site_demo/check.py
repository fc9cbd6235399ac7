"""Run every check, show what each that fails has said, and fail if any did."""

import subprocess
import sys

from site_demo.setup_env import NODE_MODULES, node_environment
from site_demo.stamps import ROOT

PYTHON = [sys.executable, "-m"]
FOLDERS = ["calc", "site_demo", "tests"]
CHECKS = {
    "lint": [*PYTHON, "ruff", "check", "--quiet", *FOLDERS],
    "formatting": [*PYTHON, "ruff", "format", "--check", "--quiet", *FOLDERS],
    "types of Python": [*PYTHON, "mypy", *FOLDERS],
    "types of JavaScript": [str(NODE_MODULES / ".bin" / "tsc"), "--project", "tsconfig.json"],
    # It lives in another surrounding than the pages.
    "types of the service worker": [str(NODE_MODULES / ".bin" / "tsc"), "--project", "docs/app/serving/worker"],
    # MkDocs has checked the pages' sources; this one checks the site as it was built.
    "links": [*PYTHON, "pytest", "--quiet", "tests/pages/test_site.py", "-k", "links"],
}


def main() -> int:
    """Run them all: the second failure is worth knowing as well."""
    failed = []
    for name, command in CHECKS.items():
        done = subprocess.run(command, cwd=ROOT, env=node_environment(), capture_output=True, text=True, check=False)
        print(f"check: {name}: {'ok' if done.returncode == 0 else 'FAILED'}", flush=True)
        if done.returncode != 0:
            failed.append(name)
            print(f"{done.stdout}{done.stderr}", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
