"""Tests of `calc.judge`: each rule by itself, whole jobs, and every word that people read."""
