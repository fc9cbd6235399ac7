"""Tests of `calc.plan`."""
