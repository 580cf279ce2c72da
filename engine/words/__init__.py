"""The command words: one table of actions and keys, one word file per language.

`vocabulary` is the table, `grammar` has all that may be said. Door: `phrases.phrase_book`, what a
phrase means where it is said.
"""
