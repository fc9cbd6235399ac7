"""Tests of the scripts that set up, build and check the site."""
