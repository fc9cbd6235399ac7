"""Spillmark's computation: timing of valve-controlled injection pumps. Standard library only.

>>> from calc import assess, read_job
"""

from calc.job.problems import JobErrors
from calc.job.read import read_job
from calc.judge.assess import assess

__all__ = ["JobErrors", "assess", "read_job"]
