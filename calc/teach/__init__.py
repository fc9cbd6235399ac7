"""Teaching: what a cadet does with the calculation, and learns from."""
