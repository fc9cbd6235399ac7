"""Tests of `calc.job`: reading, writing, the form, and everything that can be wrong with a file."""
