"""`Rows 3 and 4: rep rows 1 and 2`: each row is the next one of those that are repeated."""

import pytest

from engine.pattern.check import check_pattern
from models.pattern import Severity

HEAD = "Gauge: 20 x 26\nCO 16, join\nRnd 1: (k2, m1) around\nRnd 2: (k3, m1) around\n"


@pytest.mark.parametrize(
    "repeated",
    [
        "Rnds 3 and 4: Rep rnds 1 and 2.",
        "Rnds 3, 4: Rep rnds 1 and 2.",
        "Rnds 3-4: Rep rnds 1-2.",
        "Rnd 3: (k2, m1) around\nRnd 4: (k3, m1) around",
    ],
)
def test_two_rounds_repeated_are_the_two_one_after_the_other(repeated: str) -> None:
    """16, by hand: 24, 32, then 48 and 64."""
    found = check_pattern(f"{HEAD}{repeated}\nBind off\n")
    assert not [fault for fault in found.faults if fault.severity is Severity.FAULT]
    assert [size.most_loops for size in found.counts] == [64]
