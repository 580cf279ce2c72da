"""The work itself: sizes, patterns, scripts, progress, ears. Knows nothing of a screen.

A room for each purpose, which uses lower ones only: DEVELOPERS.md has the house. Doors: `plan`
makes a script, `make` works it, `keep` keeps it, `ears` hear.
"""
