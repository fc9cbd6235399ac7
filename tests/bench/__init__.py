"""Measured speed and weight: `python -m tests.bench` (also `make bench`)."""
