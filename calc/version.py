"""The program's version, in one place."""

VERSION = "0.1.0"
PROGRAM = f"Spillmark {VERSION}"
