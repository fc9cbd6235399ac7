"""What came of many inputs; every input that breaks something is kept, so that it can be made small and mended."""

import hashlib
import json
from dataclasses import dataclass, field
from pathlib import Path

from site_demo.stamps import ROOT

from .taken import Fate

# Below .build, which is not kept.
BROKEN = ROOT / ".build" / "soak" / "broken"


@dataclass
class Tally:
    """The counts, and what broke, by what it said."""

    files: int = 0
    crashes: int = 0
    hangs: int = 0
    placeless: int = 0
    slowest_s: float = 0.0
    slowest: str = ""
    said: dict[str, str] = field(default_factory=dict)

    def count(self, source: bytes, fate: Fate) -> None:
        """Count one input."""
        self.files += 1
        self.crashes += bool(fate.crash)
        self.hangs += fate.hung
        self.placeless += len(fate.placeless)
        if fate.seconds > self.slowest_s:
            self.slowest_s, self.slowest = fate.seconds, fate.slowest
        trouble = fate.crash or (f"slow: {fate.slowest}" if fate.hung else "") or next(iter(fate.placeless), "")
        if trouble and trouble not in self.said:
            BROKEN.mkdir(parents=True, exist_ok=True)
            file = BROKEN / hashlib.sha256(source).hexdigest()[:16]
            file.write_bytes(source)
            self.said[trouble] = str(file)
            print(f"  {trouble}\n  kept: {file}", flush=True)

    def add(self, other: "Tally") -> None:
        """Count what another has counted."""
        self.files += other.files
        self.crashes += other.crashes
        self.hangs += other.hangs
        self.placeless += other.placeless
        self.said |= other.said
        if other.slowest_s > self.slowest_s:
            self.slowest_s, self.slowest = other.slowest_s, other.slowest

    def write(self, file: Path) -> None:
        """Leave the counts for another process."""
        file.write_text(json.dumps(self.__dict__), "utf-8")

    @staticmethod
    def read(file: Path) -> "Tally":
        """The counts that another process has left."""
        return Tally(**json.loads(file.read_text("utf-8")))
