"""Tests of what is planned around a check."""
