"""Made-up rows: the engine against the tests' own interpreter, stitch by stitch."""

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from engine.pattern.check import check_row
from engine.pattern.count.decide import work_row
from engine.pattern.text.grammar import parse
from models.pattern import Severity
from tests.pattern.interpreter import Made, rows
from tests.times import TIMES


@settings(max_examples=60 * TIMES, deadline=None)
@given(rows())
def test_every_stitch_is_the_one_that_was_made_up(made: Made) -> None:
    assume(len(made.stitches) < 3000)
    row = parse(made.text, "row_alone")
    worked, _, _ = work_row(row.items, made.takes, 0)
    if any("can be read in" in m.what for m in worked.misfits):
        return  # "yo, k2tog twice" may be made up in two ways, and is asked about
    told = tuple(o.stitch for o in worked.operations for _ in range(o.times))
    assert told == made.stitches
    assert (worked.takes, worked.leaves) == (made.takes, made.leaves)
    assert worked.sound


@settings(max_examples=40 * TIMES, deadline=None)
@given(rows(), st.integers(1, 9))
def test_a_row_never_uses_loops_that_are_not_there(made: Made, more: int) -> None:
    """On another number of loops it is at fault, or a repeat took the rest, and all of it."""
    assume(len(made.stitches) < 3000)
    row = check_row(made.text, made.takes + more)
    at_fault = any(f.severity is Severity.FAULT for f in row.faults)
    assert at_fault or row.takes == made.takes + more


@settings(max_examples=40 * TIMES, deadline=None)
@given(rows(), rows())
def test_one_row_after_another_hands_its_loops_on(one: Made, two: Made) -> None:
    """Conservation: what a row leaves is what it takes and what its stitches add."""
    for made in (one, two):
        row = check_row(made.text, made.takes)
        if any("can be read in" in f.text for f in row.faults):
            continue
        gained = sum(1 for s in made.stitches if s in {"yo", "m1", "m1l", "kfb", "pfb"})
        lost = sum(1 for s in made.stitches if s in {"k2tog", "p2tog", "ssk", "ssp"})
        lost += 2 * sum(1 for s in made.stitches if s == "k3tog")
        assert row.leaves - row.takes == gained - lost
