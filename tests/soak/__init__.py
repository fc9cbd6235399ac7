"""What the project withstands: `make soak`, or `python -m tests.soak`. Each module is one part, with figures of its own."""
