"""Tests of the built site in real browsers, and what they stand on."""
