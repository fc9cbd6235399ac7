"""Spillmark's computation: timing of valve-controlled injection pumps. Standard library only.

>>> from calc import assess, read_job
"""

from calc.job.problems import JobErrors
from calc.job.read import read_job
from calc.judge.assess import assess
from calc.version import VERSION as __version__

__all__ = ["JobErrors", "__version__", "assess", "read_job"]
