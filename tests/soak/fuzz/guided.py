"""Coverage chooses: atheris keeps each file that reaches code which none before it reached, and changes those again.

    python -m tests.soak.fuzz.guided COUNT SEED FOLDER

libFuzzer ends the process itself, so the counts are left in FOLDER/tally.json, and the files that reached something in
FOLDER/corpus.
"""

import json
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from random import Random

from site_demo.stamps import ROOT

_MOST_BYTES = 40_000
_WROTE = 100


def run(count: int, start: int, folder: Path) -> None:
    """Fuzz until so many files were tried. Does not return."""
    import atheris  # type: ignore[import-untyped]

    with atheris.instrument_imports(include=["calc"]):
        from tests.soak.fuzz import made, taken
    from tests.soak.fuzz.tally import Tally

    tally = Tally()

    def one(source: bytes) -> None:
        # libFuzzer begins with an empty file and one of one letter before it reads what it is given: they count like any other.
        tally.count(source, taken.taken(source, start + tally.files))
        if tally.files % _WROTE == 0 or tally.files >= count:
            tally.write(folder / "tally.json")

    def change(source: bytes, most: int, number: int) -> bytes:
        chance = Random(number)
        with suppress(ValueError, RecursionError):
            if chance.random() < 0.8:
                tree = json.loads(source)
                made.changed(tree, chance)
                return made.written(tree, chance)[:most]
        return bytes(atheris.Mutate(source, most))

    corpus = folder / "corpus"
    corpus.mkdir(parents=True, exist_ok=True)
    for number, tree in enumerate(made.sound_jobs()):
        (corpus / f"sound-{number}").write_text(json.dumps(tree), "utf-8")
    options = [f"-runs={count}", f"-seed={start}", f"-max_len={_MOST_BYTES}", "-len_control=0", "-verbosity=0"]
    # Against a file that never ends; shorter hangs are seen by the process's own time, whoever else has the machine.
    options += ["-timeout=1200", f"-artifact_prefix={folder}/"]
    atheris.Setup([sys.argv[0], *options, str(corpus)], one, custom_mutator=change)
    atheris.Fuzz()


def begin(count: int, start: int, folder: Path) -> "subprocess.Popen[bytes]":
    """Start it beside other work."""
    folder.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-m", __spec__.name, str(count), str(start), str(folder)]
    with (folder / "log").open("wb") as log:
        return subprocess.Popen(command, cwd=ROOT, stderr=log)


if __name__ == "__main__":
    run(int(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3]))
