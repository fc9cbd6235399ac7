"""Tests of the moving model."""
