"""How properties are tried: the same examples on every machine; `--hypothesis-profile=explore` tries new ones."""

from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None, max_examples=60, database=None)
settings.register_profile("explore", deadline=None, max_examples=2000)
settings.load_profile("fixed")
