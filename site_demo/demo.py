"""Judge the main demo job on the command line, and say which file shows it in a browser."""

import subprocess
import sys
from pathlib import Path

from site_demo.build import HISTORY, JOBS, SITE
from site_demo.stamps import ROOT

# 0 and 1 are verdicts. Anything else is a demo job that cannot be used: a fault of the project.
VERDICTS = {0, 1}


def page(name: str) -> Path:
    """The built page of that name, relative to the project."""
    return (SITE / f"{name}.html").relative_to(ROOT)


def main() -> int:
    """Judge, then point to the page."""
    job = min(JOBS.glob("*.json")).relative_to(ROOT)
    print(f"python -m calc check {job}\n", flush=True)
    status = subprocess.run([sys.executable, "-m", "calc", "check", str(job)], cwd=ROOT, check=False).returncode
    print(
        f"\nOpen {page('index')} in a browser: a double click will do, no server is needed.\n"
        f"The worksheet is {page('worksheet')}. Open {job} there, or choose the demo on the page.\n"
        f"Its past checks: python -m calc trend {HISTORY.relative_to(ROOT)}, or the worksheet's step 1, Trend of past checks."
    )
    return 0 if status in VERDICTS else status


if __name__ == "__main__":
    sys.exit(main())
