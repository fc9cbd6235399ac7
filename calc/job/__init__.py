"""The job: its field descriptions, reading and writing its file, and what can be wrong with it."""
