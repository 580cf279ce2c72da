"""A small share of `python -m tests.pattern.apart`: made-up rows against hands of their own."""

from collections import Counter
from random import Random

from tests.pattern.apart.hands import worked
from tests.pattern.apart.trial import Outcome, trial


def test_what_is_taken_is_what_the_hands_have() -> None:
    chance = Random(1789)
    told = [trial(chance) for _ in range(600)]
    wrong = [(t.text, t.on, t.why) for t in told if t.outcome is Outcome.WRONG]
    assert wrong == []
    seen = Counter(t.outcome for t in told)
    assert seen[Outcome.RIGHT] > 400  # it is no proof where little is taken
    assert seen[Outcome.ASKED] > 30  # rows on loops they do not fit are among them


def test_the_hands_know_their_craft() -> None:
    """Worked by hand: a lifted loop goes, a yarn over comes, three go into one."""
    assert worked(["sl", "k", "psso", "k"], 3) == (0, 2)
    assert worked(["k", "yo", "k2tog", "3 in 1"], 4) == (0, 6)
    assert worked(["k"], 3) == (2, 1)
