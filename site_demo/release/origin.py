"""What a release is made from: the commit, its time, and whether somebody has changed a file since."""

import datetime
import os
import subprocess
from dataclasses import dataclass

from site_demo.stamps import ROOT

from . import ReleaseError

# Zip archives know no earlier time.
EARLIEST = datetime.datetime(1980, 1, 1, tzinfo=datetime.UTC)


@dataclass(frozen=True)
class Origin:
    """A commit (empty where the sources are no repository), the time that all files bear, and whether sources have changed."""

    commit: str
    when: datetime.datetime
    changed: bool

    @property
    def told(self) -> str:
        """The commit in words."""
        name = self.commit or "sources without a repository"
        return f"{name}, with changes" if self.changed else name


def _git(*words: str) -> str | None:
    try:
        done = subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True, check=False)
    except OSError:
        return None
    return done.stdout.strip() if done.returncode == 0 else None


def origin() -> Origin:
    """The commit that is checked out. SOURCE_DATE_EPOCH, where it is set, takes the place of the commit's time."""
    commit = _git("rev-parse", "HEAD") or ""
    seconds = os.environ.get("SOURCE_DATE_EPOCH") or _git("log", "-1", "--format=%ct")
    if not seconds:
        raise ReleaseError(
            "There is no commit to take the time from. Set SOURCE_DATE_EPOCH to the seconds since 1970, then try again."
        )
    if not seconds.isdigit():
        raise ReleaseError(f"SOURCE_DATE_EPOCH is {seconds!r}. Set it to whole seconds since 1970, then try again.")
    when = max(datetime.datetime.fromtimestamp(int(seconds), datetime.UTC), EARLIEST)
    return Origin(commit, when, bool(commit) and _git("status", "--porcelain") != "")
