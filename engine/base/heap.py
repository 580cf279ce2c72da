"""Work that makes many small objects at once, all of which stay."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Python does not look for objects that hold each other, and so go by no count.

    Where thousands are made and none goes again, looking for such takes up to half the time. What
    goes is still freed when nothing holds it. As a decorator it is of a whole function.
    """
    collects = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collects:
            gc.enable()
