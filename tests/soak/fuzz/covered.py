"""How much of the code that reads and judges jobs some files reach: `python -m tests.soak.fuzz.covered FOLDER`."""

import io
import subprocess
import sys
from pathlib import Path

from site_demo.stamps import ROOT

READERS = "job, judge, measure, pump, work, browser, findings.py"


def percent(folder: Path) -> float:
    """Lines of the readers and judges in `calc` that the files in a folder reach, in percent; in a process of its own."""
    command = [sys.executable, "-m", __spec__.name, str(folder)]
    done = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, check=True, text=True)
    return float(done.stdout.splitlines()[-1])


def main(folder: Path) -> None:
    """Read every file while its lines are counted."""
    import coverage

    inside = [ROOT / "calc" / name for name in READERS.split(", ")]
    watch = coverage.Coverage(
        data_file=None, config_file=False, include=[str(each / "*" if each.is_dir() else each) for each in inside]
    )
    # Before `calc` is imported, so that the lines that define things count as well.
    watch.start()
    from tests.soak.fuzz.taken import taken

    for turn, file in enumerate(sorted(folder.iterdir())):
        taken(file.read_bytes(), turn)
    watch.stop()
    print(watch.report(file=io.StringIO()))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
