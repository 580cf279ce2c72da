"""How often tests that try at random do so: `SPOKENROW_TIMES=50 pytest …` for fifty times that."""

import os

TIMES = int(os.environ.get("SPOKENROW_TIMES", "1"))


def times(count: int) -> int:
    """A test's own number of tries, as often as is asked for."""
    return count * TIMES
