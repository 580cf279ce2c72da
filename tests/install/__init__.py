"""Whether it installs.

`python -m tests.install` asks the resolver for every system and Python, `--lock` makes the lock
anew.
"""
