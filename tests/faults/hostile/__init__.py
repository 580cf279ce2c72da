"""Text that would be more than text, at every place where text is shown.

    python -m tests.faults.hostile TIMES

`texts` has the texts, `screens`, `commands` and `paper` the places. A place fills each of its
fields with a text, shows itself, and gives back what it showed; `marks` says what must be true.
"""
