"""Strings in the project's files that look like keys, as detect-secrets finds them."""

import json
import subprocess
from pathlib import Path
from typing import Any

from site_demo.stamps import ROOT

# Looked at, and no secret. A new string of that kind in another file is told.
REVIEWED = {
    ("calc/job/write.py", "Hex High Entropy String"): "the check sum in an example",
    ("tests/site_demo/test_inventory.py", "Hex High Entropy String"): "the name of a build in an example",
    ("tests/teach/test_draw.py", "Hex High Entropy String"): "published outputs of a generator",
}


def found(commands: Path) -> list[str]:
    """Every string that looks like a key in a file that is kept. Parameters: commands: the folder with `detect-secrets`."""
    # Nothing that looks like a key is tried out on anybody's server.
    command = [str(commands / "detect-secrets"), "scan", "--no-verify"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    return told(json.loads(done.stdout)["results"])


def told(results: dict[str, list[dict[str, Any]]]) -> list[str]:
    """Its results, a line each, without what has been looked at."""
    return [
        f"{file}:{each['line_number']}: {each['type']}"
        for file, strings in sorted(results.items())
        for each in strings
        if (file, each["type"]) not in REVIEWED
    ]
