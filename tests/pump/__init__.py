"""Tests of `calc.pump`: by exact geometry, by simulation, and against other libraries."""
