"""Mutation testing: `calc` is spoiled in one place at a time, and a test has to notice. See `__main__.py`."""
