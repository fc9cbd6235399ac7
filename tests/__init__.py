"""Tests: of `calc`, of the site in real browsers, and of the tools themselves."""
