"""When Python looks for what nothing uses any more: in a pause, never between a key and its row.

To look through everything takes some 40 ms on a small machine, through what came since the last
few rows 3. What is loaded before the first screen stays, so it is never looked through; of the rest
the newest is looked through in every pause, and all of it once much has come.
"""

import gc

_UNTIDIED = 50_000
"""New objects after which the newest are looked through even where no pause comes: fifty rows and
more, told as fast as they can be spoken."""
_NEVER = 1_000
"""Looks at the newest after which all is looked through even where no pause comes."""
_FEW = 500
"""New objects that are not worth a look."""
_MANY = 40
"""Pauses with a look at the newest after which all the rest is looked through."""


def keep() -> None:
    """What is loaded by now stays."""
    gc.freeze()
    gc.set_threshold(_UNTIDIED, 10, _NEVER)


def tidy() -> None:
    """Look through what is new, and through all the rest if much has come: nobody waits now."""
    new, _, pauses = gc.get_count()
    if new > _FEW:
        gc.collect(1 if pauses < _MANY else 2)
