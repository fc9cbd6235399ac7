"""Tests of `calc.fuel` against published values."""
