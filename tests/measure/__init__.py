"""Tests of `calc.measure`: against published values, scipy, and by properties."""
