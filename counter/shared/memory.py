"""When Python looks for what nothing uses any more: in a pause, never between a key and its row.

To look through everything takes some 40 ms on a small machine. What is loaded before the first
screen stays, so it is never looked through; of the rest only the newest, by itself.
"""

import gc

_YOUNG = (700, 10)
"""As Python has it: new objects, and looks at them, after which the young are looked through."""
_NEVER = 1_000
"""Looks at the young after which all is looked through even where no pause comes."""
_MANY = 10
"""Looks at the young after which a pause is worth a look at all."""


def keep() -> None:
    """What is loaded by now stays."""
    gc.freeze()
    gc.set_threshold(*_YOUNG, _NEVER)


def tidy() -> None:
    """Look through all the rest, if much has come since: nobody waits now."""
    if gc.get_count()[2] >= _MANY:
        gc.collect()
