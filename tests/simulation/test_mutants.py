"""One thing put wrong at a time is found by the audit, but for what makes as good a fabric.

A share of what `python -m tests.simulation.mutants` tries, which tells every one that passes.
"""

import pytest

from models.script import Craft, Hand
from tests.simulation.mutants import passed
from tests.times import TIMES

SOUND = (
    "moved dec 1 at left armhole spare",  # the spare loop goes with its other neighbour
    "moved dec 1 at right armhole spare",
    "exchanged rest",  # the far end rests whenever it is said; or a name alone is another
)


@pytest.mark.parametrize(
    ("name", "hand", "share"),
    [
        ("cardigan", Hand.RIGHT, 12),
        ("vest", Hand.LEFT, 12),
        ("shawl", Hand.RIGHT, 9),
        ("cap", Hand.LEFT, 9),
        ("tote", Hand.RIGHT, 4),
        ("pullover", Hand.RIGHT, 20),
    ],
)
def test_one_thing_put_wrong_is_found(name, hand, share):
    tried, through = passed(name, Craft.LOOP, hand=hand, share=min(1.0, TIMES / share))
    assert tried > 20
    assert [what for what, _ in through if not any(sound in what for sound in SOUND)] == []
