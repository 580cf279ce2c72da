"""Two dye lots worked in turn: what each takes, and that each is taken up where it hangs."""

import contextlib
import io
from itertools import pairwise

import pytest

from counter.commandline import main
from engine.advise.lots import in_turn, reaches
from engine.base.refusal import Refusal
from engine.plan.planning import make_plan, read_gauge, script_for
from models.script import Craft, Hand, Kind

ONES = [("cardigan", Craft.LOOP, Hand.LEFT), ("pullover", Craft.LOOP, Hand.RIGHT)]
ONES += [("vest", Craft.NEEDLES, Hand.RIGHT), ("socks", Craft.NEEDLES, Hand.LEFT)]


def script_of(name, craft=Craft.LOOP, hand=Hand.RIGHT, **given):
    gauge = read_gauge("5 x 3.75" if craft is Craft.LOOP else "12 x 16")
    return script_for(make_plan(name, gauge, craft=craft, hand=hand, given=given))


def ends(step):
    """The ends at which a row begins and ends, as seen from the right side."""
    if step.kind is Kind.ROUND:
        return "marker", "marker"
    to_left = step.direction.value == "right to left"
    if step.side == "WS":
        to_left = not to_left
    return ("right", "left") if to_left else ("left", "right")


@pytest.mark.parametrize(("name", "craft", "hand"), ONES)
def test_no_loop_is_lost_between_two_lots(name, craft, hand):
    script = script_of(name, craft, hand)
    found = in_turn(script)
    assert sum(found.loops) == script.yarn_loops + found.ends
    assert min(found.loops) > 0.35 * script.yarn_loops  # about half each
    assert found.alone is None


@pytest.mark.parametrize(("name", "craft", "hand"), ONES)
def test_each_lot_is_taken_up_where_it_was_left(name, craft, hand):
    script = script_of(name, craft, hand)
    found = in_turn(script)
    assert len(found.changes) > 8
    checked = 0
    for one, other in pairwise(found.changes):
        between = script.steps[one.step - 1 : other.step - 1]
        stitches = {o.stitch for s in between for o in s.operations}
        if one.lot == other.lot or stitches & {"tail", "join", "rest", "resume", "pair", "bo"}:
            continue
        left_off = [s for s in script.steps[: one.step - 1] if s.counts_row][-1]
        if left_off.part == one.part:
            assert ends(left_off)[1] == ends(script.steps[other.step - 1])[0]
            assert sum(s.counts_row for s in between) >= 2
            checked += 1
    assert checked > 4


def test_a_throw_in_two_lots_by_hand():
    """Ten loops wide at 5 to 10 cm, twelve rows.

    The first lot: ten laid on and their tail, rows 1, 2, 5, 6, 9, 10, and an end of its own, as it
    waits when the second one binds off. The second: its beginning, rows 3, 4, 7, 8, 11, 12, and
    the tail of the bind-off.
    """
    found = in_turn(script_of("throw", width=20, height=32))
    assert found.loops == (10 + 2 + 60 + 2, 2 + 60 + 2)
    assert [(c.row, c.lot) for c in found.changes] == [(3, 1), (5, 0), (7, 1), (9, 0), (11, 1)]
    assert found.ends == 4


def test_where_rounds_follow_rows_the_second_lot_comes_in_again():
    found = in_turn(script_of("petbed"))
    assert {change.part for change in found.changes} == {"base", "wall"}
    # It comes in and is cut twice; its last end is the wall's own where it binds off.
    assert found.ends == 8


def test_the_first_lot_goes_on_alone_where_the_second_ends():
    script = script_of("cardigan")
    whole = in_turn(script)
    for there in (30, 200, whole.loops[1] - 1):
        part = in_turn(script, there)
        assert part.loops[1] <= there
        assert part.alone is not None
        assert all(change.step < part.alone for change in part.changes if change.lot)
        assert sum(part.loops) == script.yarn_loops + part.ends
    assert in_turn(script, whole.loops[1]) == whole


def test_balls_reach_less_their_ends():
    # Three balls of 60: 180 loops, and four at each of two joins.
    assert reaches(3, 60) == 172


def test_work_in_several_colours_has_no_lots():
    plan = make_plan("scarf", read_gauge("5 x 3.75"), stripes="sand 2, sea 2")
    with pytest.raises(Refusal, match="one colour"):
        in_turn(script_for(plan))


def test_the_yarn_command_tells_two_lots():
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        main(["yarn", "cap", "--gauge", "5 x 3.75", "--ball", "60", "--lots", "5", "3"])
    told = out.getvalue()
    for words in ("Two dye lots in turn, every 2 rows", "with the second lot", "do not cut"):
        assert words in told
