"""Tests of what a cadet learns with."""
