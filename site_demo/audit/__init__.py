"""`make audit`: what is known against the pinned parts, under which licences they come, and whether a secret lies in a file.

advisories.py  known flaws of every pinned part, asked of the registries
licences.py    the licence of every pinned part against the ones that are allowed
secrets.py     strings in the project's files that look like keys
"""
