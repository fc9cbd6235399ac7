"""A program in the place of `calc`, for the tests of the browser's Python: it does what it is told."""
