"""Two dye lots worked in turn: what each takes, and that each is taken up where it hangs."""

import contextlib
import io
import sys
from itertools import pairwise

import pytest

from counter.commandline import main
from engine.base.refusal import Refusal
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import headline, wording
from engine.script.audit import audit
from engine.script.lots import LOTS, in_turn, reaches, taking_turns
from models.script import Craft, Hand, Kind, Operation
from models.stitch import Role
from tests.simulation.graph import Reading

ONES = [("cardigan", Craft.LOOP, Hand.LEFT), ("pullover", Craft.LOOP, Hand.RIGHT)]
ONES += [("vest", Craft.NEEDLES, Hand.RIGHT), ("socks", Craft.NEEDLES, Hand.LEFT)]
LOTS_ONLY = {Role.COLOUR, Role.YARN_END}


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


@pytest.mark.parametrize(("name", "craft", "hand"), ONES)
def test_every_change_is_in_the_step_itself(name, craft, hand):
    """Told big, in words and aloud, and each yarn taken up where it hangs: by the audit and by
    the graph, which ask `in_turn` nothing."""
    plain = script_of(name, craft, hand)
    script = taking_turns(plain, 10**6)
    assert audit(script) == []
    assert Reading(script).faults == []
    assert script.yarn_loops == sum(in_turn(plain).loops)
    held, changes = "", 0
    for step in script.steps:
        taken = [o.at for o in step.operations if o.stitch == "colour"]
        words, aloud = wording.text(step, craft).lower(), wording.spoken(step, craft).lower()
        for lot in taken:
            changes += lot != held
            held = lot
            assert f"change to {lot}" in words
            assert f"change to {lot}" in aloud
            assert any(f"in {lot}" in line.words for line in headline.big(step, craft).row)
        if not taken:
            assert "lot" not in aloud.replace("the second lot ends", "")
            assert step.colour == held
    assert changes >= len(in_turn(plain).changes)
    bare = [[o for o in s.operations if o.entry.role not in LOTS_ONLY] for s in script.steps]
    whole = [[o for o in s.operations if o.entry.role not in LOTS_ONLY] for s in plain.steps]
    assert [o for o in bare if o] == [o for o in whole if o]


def test_a_lot_that_is_taken_up_where_it_does_not_hang_is_found():
    script = taking_turns(script_of("scarf"), 10**6)
    changes = [i for i, s in enumerate(script.steps) if s.operations[:1] == (lot(1),)]
    steps, at = list(script.steps), changes[1]
    late = Operation(stitch="k", times=3), lot(1), Operation(stitch="k", times=9)
    steps[at] = steps[at].model_copy(update={"operations": late})
    found = audit(script.model_copy(update={"steps": tuple(steps)}))
    assert any("does not hang" in fault for fault in found)


def lot(one):
    """The change to a lot."""
    return Operation(stitch="colour", times=1, at=LOTS[one])


def test_who_listens_knows_the_lot_at_each_change_and_when_she_comes_back(tmp_path):
    """Also after a break, a new ball, a row taken back, ripping back and another length."""

    def said(*lines):
        out, kept = io.StringIO(), sys.stdin
        sys.stdin = io.StringIO("\n".join(lines) + "\n")
        try:
            with contextlib.redirect_stdout(out):
                main(["--data", str(tmp_path), "plain", "mine"])
        finally:
            sys.stdin = kept
        return out.getvalue()

    lots = ["--ball", "60", "--lots", "3", "9"]
    with contextlib.redirect_stdout(io.StringIO()) as begun:
        main(["--data", str(tmp_path), "start", "scarf", *lots, "--name", "mine"])
    assert "3 balls of the first do not reach" in begun.getvalue()
    told = said(*["row done"] * 4, "take a break", "back to work", "new ball")
    assert "row 3, right to left: change to the second lot, join the yarn" in told.lower()
    assert "Row 4, to the right. Knit 12. In the second lot." in told  # back to work
    assert "Ball 2, of the second lot." in told
    told = said("where am i", "row done", "take back", "rip back 2 rows", "yes")
    assert "Scarf, row 4. 12 loops at its end. In the second lot." in told
    assert "change to the first lot, knit 12. Lay the yarn just used over" in told
    assert "Taken back: scarf, row 4 done. In the second lot." in told
    assert "Ripped back. Row 2, to the right. Knit 12. In the first lot." in told
    with contextlib.redirect_stdout(io.StringIO()):
        main(["--data", str(tmp_path), "change", "mine", "--length", "40", "--yes"])
    told = said(*["row done"] * 5)
    assert told.count("Row 3, right to left: change to the second lot") == 1
    assert told.count("Row 5, right to left: change to the first lot") == 1


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
