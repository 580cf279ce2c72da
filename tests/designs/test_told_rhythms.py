"""Every rhythm that a script tells gives its own sum, read as a maker would read it.

Read by its own code, from the words alone: `7 over 9 rows: pick up 3, skip 1, twice, then 1 from
the last row` must come to 7 loops and 9 rows, and the step must pick up as many along that edge.
"""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.base.refusal import Refusal
from engine.craft.pickup import edge_words
from engine.designs import design
from engine.plan.planning import make_plan, read_gauge
from models.gauge import Gauge
from models.script import Craft
from tests.designs.strategies import EACH
from tests.times import times

TOLD = re.compile(r"(\d+) over (\d+) rows?(?:: ([^;.]*))?")
TIMES = {"once": 1, "twice": 2}
ENDS = {"tail", "join"}
GROUPS = (
    (r"one from every row", lambda m, all_: (all_, all_)),
    (r"one from each of the first (\d+) rows?", lambda m, _: (int(m[1]), int(m[1]))),
    (r"pick up (\d+), skip 1, (once|twice|\d+ times)", lambda m, _: skipping(m)),
    (r"(\d+) from every (?:(\d+) rows|row), (once|twice|\d+ times)", lambda m, _: every(m)),
    (r"(\d+) from the (?:one row|(\d+) rows)", lambda m, _: (int(m[1]), int(m[2] or 1))),
    (r"(\d+|none) from the last (?:row|(\d+) rows)", lambda m, _: rest(m)),
)


def often(word):
    return TIMES[word] if word in TIMES else int(word.split()[0])


def skipping(m):
    return int(m[1]) * often(m[2]), (int(m[1]) + 1) * often(m[2])


def every(m):
    return int(m[1]) * often(m[3]), int(m[2] or 1) * often(m[3])


def rest(m):
    return (0 if m[1] == "none" else int(m[1])), int(m[2] or 1)


def summed(words, rows):
    """Loops and rows of a rhythm, from its words."""
    loops = over = 0
    for group in words.split(", then "):
        found = next(
            (reads(m, rows) for how, reads in GROUPS if (m := re.fullmatch(how, group))), None
        )
        assert found, f"{group!r} is not understood"
        loops, over = loops + found[0], over + found[1]
    return loops, over


def rhythms(note):
    """Loops, rows and the rhythm's words, wherever a note tells them."""
    for found in TOLD.finditer(note):
        words = re.split(r", (?:each|drawing)", found[3] or "")[0].strip()
        yield int(found[1]), int(found[2]), words


@settings(max_examples=times(100), deadline=None)
@given(st.integers(1, 300), st.integers(1, 300))
def test_every_edge_is_told_by_its_sum(loops, rows):
    ((picked, over, words),) = rhythms(edge_words(loops, rows))
    assert (picked, over) == (loops, rows)
    if words:
        assert summed(words, rows) == (loops, rows)
    else:
        assert loops > 2 * rows


@pytest.mark.parametrize(("name", "craft"), EACH)
def test_each_script_tells_its_sums(name, craft):
    """Rhythms, and at the end the ends of yarn, whatever the balls."""
    gauges = ("5 x 3.75", "7 x 6.2") if craft is Craft.LOOP else ("12 x 16",)
    for gauge in map(read_gauge, gauges):
        script = design(name).build(make_plan(name, gauge, craft=craft))
        check(script)
        if craft is Craft.LOOP:
            ends = sum(o.times for s in script.steps for o in s.operations if o.stitch in ENDS)
            assert f" {ends} ends, and 2 more for each new ball" in script.steps[-1].note


@settings(max_examples=times(6), deadline=None)
@given(
    st.sampled_from(("cardigan", "vest", "pullover", "petbed", "hooded-scarf")),
    st.floats(3, 9).map(lambda x: round(x, 2)),
    st.floats(0.7, 1.4),
)
def test_rhythms_at_other_gauges(name, loops, ratio):
    gauge = Gauge(loops_per_10cm=loops, rows_per_10cm=round(loops * ratio, 2))
    try:
        script = design(name).build(make_plan(name, gauge, craft=Craft.LOOP))
    except Refusal:
        return
    assert check(script)


def check(script):
    """How many rhythms it tells; each gives its sum, and the step picks up as many somewhere."""
    told = 0
    for step in script.steps:
        along = [o.times for o in step.operations if o.stitch == "pick up"]
        for loops, rows, words in rhythms(step.note):
            told += 1
            assert loops in along, step.note
            if words:
                assert summed(words, rows) == (loops, rows), step.note
    return told
