"""Dropped loops: what lies above them, what mending costs, and until when."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.advise import choices, repair
from engine.make import answers
from engine.plan.planning import make_plan, script_for
from engine.script.builder import ScriptBuilder, op
from models.plan import Plan
from models.script import Direction, Kind
from models.state import Mark
from tests.advise.helpers import CARDIGAN, JUMBO, Action, AtWork

CARDIGAN_SCRIPT = script_for(CARDIGAN)


def step(part, kind, row=None, script=CARDIGAN_SCRIPT):
    return next(s for s in script.steps if (s.part, s.kind, s.row) == (part, kind, row))


def front_loops():
    """F of the size S cardigan, read from the right front's first row."""
    return step("right front", Kind.ROW, 1).loops_before


def test_the_columns_of_the_bodys_first_row_end_where_the_construction_says():
    """By hand: row 1 goes right to left, so its first F loops become the right front, the last F
    the left front; each front's first two loops at the neck become one in its row 1, the third
    joins them in row 3, and so on; the armholes' loops are bound off."""
    row = step("body", Kind.ROW, 1)
    columns = repair.columns(CARDIGAN_SCRIPT, row.number)
    assert len(columns) == row.loops_after
    neck = [step("right front", Kind.ROW, n).number for n in (1, 1, 3, 5)]
    assert [c.ends for c in columns[:4]] == neck
    neck_left = [step("left front", Kind.ROW, n).number for n in (1, 1, 3, 5)]
    assert [c.ends for c in columns[::-1][:4]] == neck_left
    f = front_loops()
    armhole = step("right armhole", Kind.BIND_OFF).number
    # F loops on, the armhole's first is bound off; its last stays live and begins the back.
    assert columns[f].ends == armhole
    bound = sum(c.ends == armhole for c in columns)
    k_less_one = step("right armhole", Kind.BIND_OFF).loops_before - 1
    assert bound == k_less_one
    # The rest of the back reaches the shoulders or the neck, but for the chain's last loop, which
    # the left sleeve works together with its neighbour.
    ends = [CARDIGAN_SCRIPT.steps[c.ends - 1].part for c in columns[f + bound : -f - bound]]
    assert ends.count("left sleeve") == 1
    assert set(ends) == {"shoulders and neck", "left sleeve"}


def test_an_even_row_is_counted_from_the_other_end():
    first = repair.columns(CARDIGAN_SCRIPT, step("body", Kind.ROW, 1).number)
    second = repair.columns(CARDIGAN_SCRIPT, step("body", Kind.ROW, 2).number)
    assert [c.ends for c in second] == [c.ends for c in first][::-1]


@pytest.mark.parametrize("row", [1, 4, 9])
def test_a_column_of_a_plain_piece_has_a_rung_for_every_row_above(row):
    script = script_for(make_plan("throw", JUMBO, given={"width": 40, "height": 32}))
    for column in repair.columns(script, step("throw", Kind.ROW, row, script).number):
        assert len(column.above) == 12 - row
        assert column.ends == step("throw", Kind.BIND_OFF, None, script).number


def dropped_after(rows, loop=20):
    """A cardigan whose maker found, so many rows on, that row 2 of the body misses a loop."""
    work = AtWork()
    work.advance_to(Kind.ROW, "body", 2)
    work.do(Action.DROPPED, loop)
    work.advance(rows)
    return work, repair.advise(work.state, work.state.open_marks[0])


def test_hooking_up_costs_a_rung_for_every_row_worked_since():
    for rows in (1, 2, 5):
        work, advice = dropped_after(rows)
        assert advice.way(repair.UP).cost.loops == rows - 1
        ripped = work.state.script.steps[2 : 2 + rows]
        assert advice.way(repair.RIP).cost.loops == sum(s.loops_after for s in ripped)
        assert advice.way(repair.RIP).cost.rows == rows


def test_the_cheaper_way_without_a_trace_is_best():
    _, advice = dropped_after(3)
    up, rip = advice.way(repair.UP), advice.way(repair.RIP)
    assert advice.best == repair.UP
    assert up.cost.seconds < rip.cost.seconds


def test_once_the_column_is_taken_in_only_ripping_or_tying_is_left():
    work, advice = dropped_after(1, loop=20)  # somewhere in the back
    last = advice.way(repair.UP).last_safe
    closing = work.state.script.steps[last - 1]
    assert closing.part == "shoulders and neck"
    work.do(Action.ACCEPT)
    mark = Mark(number=9, step=3, part="body", row=2, loop=20)
    while work.state.at < last:
        assert repair.advise(work.state, mark).way(repair.UP).possible
        work.do(Action.YES) if work.state.open_marks else work.advance()
    after = repair.advise(work.state, mark)
    assert not after.way(repair.UP).possible
    assert "shoulders and neck" in after.way(repair.UP).why_not
    assert after.best == repair.TIE
    assert "not possible" in answers.mending(after, work.state)


def test_a_mark_without_a_loop_takes_the_column_that_closes_first():
    _, advice = dropped_after(1, loop=None)
    assert advice.way(repair.UP).last_safe == step("right front", Kind.ROW, 1).number


def test_ripping_past_a_cut_warns_of_the_join():
    _, advice = dropped_after(1)
    assert "right armhole" in advice.way(repair.RIP).closes


def test_the_answer_to_a_mark_names_the_cheapest_way():
    work = AtWork()
    work.advance_to(Kind.ROW, "body", 2)
    said = work.do(Action.DROPPED, 12).say
    assert said.startswith(
        "Marked at row 2 of the body, loop 12. Cheapest: work it up again, 1 row high"
    )


def test_choosing_to_rip_asks_and_goes_back_to_the_loops_row():
    work, _ = dropped_after(4)
    there = choices.of(work.state)
    number = next(c.number for c in there if c.does.startswith("rip back"))
    before = work.state
    asked = work.do(Action.CHOOSE, number)
    assert asked.asks
    assert work.do(Action.YES).taken
    assert (work.state.step.part, work.state.step.row) == ("body", 2)
    assert not work.state.marks
    assert work.do(Action.TAKE_BACK).taken
    assert work.state == before


def test_choosing_to_hook_up_leaves_the_mark_until_it_is_repaired():
    work, _ = dropped_after(4)
    said = work.do(Action.CHOOSE, 1)
    assert said.taken
    assert "repaired" in said.say
    assert work.state.open_marks
    assert work.do(Action.REPAIRED).taken
    assert not work.do(Action.CHOOSE, 1).taken


def test_choosing_to_tie_down_keeps_the_mark_as_a_closed_one():
    work, _ = dropped_after(4)
    number = next(c.number for c in choices.of(work.state) if c.does.startswith("tie"))
    assert work.do(Action.CHOOSE, number).taken
    assert [m.open for m in work.state.marks] == [False]
    assert work.making.events[-1].how == "tied down"


def test_where_ripping_leaves_the_work():
    work = AtWork()
    work.advance_to(Kind.ROW, "right front", 3)
    mark = Mark(number=1, step=step("body", Kind.ROW, 4).number, part="body", row=4, loop=3)
    landed = repair.advise(work.state, mark).landing
    foundation = work.state.script.steps[0].loops_after
    assert (landed.loops, landed.held, landed.place) == (
        foundation,
        0,
        "the start of row 4 of the body",
    )
    # Tail and foundation and three rows are still in the work.
    assert landed.ball_left == 300 - (2 + 4 * foundation)
    assert landed.freed == work.state.yarn_used - (2 + 4 * foundation)
    assert len(landed.removed) == 2
    assert landed.markers == ()


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(["cardigan", "vest", "shawl", "cap", "cowl"]), st.data())
def test_advice_is_there_for_any_loop_at_any_time(name, data):
    work = AtWork(make_plan(name, JUMBO))
    work.advance(data.draw(st.integers(0, len(work.state.script.steps) - 1)))
    at = data.draw(st.integers(1, min(work.state.at + 1, len(work.state.script.steps))))
    there = work.state.script.steps[at - 1]
    loop = data.draw(st.none() | st.integers(1, max(1, there.loops_after)))
    mark = Mark(number=1, step=at, part=there.part, row=there.row, loop=loop)
    advice = repair.advise(work.state, mark)
    assert advice.way(advice.best).possible
    up = advice.way(repair.UP)
    if up.last_safe is not None:
        assert up.possible == (up.last_safe > work.state.at)
    assert answers.mending(advice, work.state)


def test_an_edge_slipped_in_every_other_row_has_half_the_rungs():
    """By hand: a slipped loop is not pulled through. The first loop of every row is slipped, so
    12 rows leave either edge 6 rungs, and 12 to all between."""
    b = ScriptBuilder(Plan(design="x", title="X", gauge=JUMBO))
    b.step("piece", Kind.FOUNDATION, op("co", 8))
    for row in range(1, 13):
        way = Direction.RIGHT_TO_LEFT if row % 2 else Direction.LEFT_TO_RIGHT
        b.step("piece", Kind.ROW, op("sl"), op("k", 7), row=row, direction=way)
    heights = [len(column.above) for column in repair.columns(b.finish(), 1)]
    assert heights == [6, *[12] * 6, 6]


def test_a_loop_passed_over_ends_its_column_and_a_crossing_does_not():
    b = ScriptBuilder(Plan(design="x", title="X", gauge=JUMBO))
    b.step("piece", Kind.FOUNDATION, op("co", 7), direction=Direction.LEFT_TO_RIGHT)
    pass_over = (op("sl"), op("k"), op("psso"))
    b.step("piece", Kind.ROW, *pass_over, op("2/2 rc"), op("k"), row=1)
    b.step("piece", Kind.ROW, op("k", 6), row=2, direction=Direction.LEFT_TO_RIGHT)
    found = repair.columns(b.finish(), 1)[::-1]  # laid on from the left; here from the right
    assert [(column.above, column.ends) for column in found[:2]] == [([], 2), ([2, 3], None)]
    assert all(column.above == [2, 3] for column in found[2:])


def test_beside_a_wedge_the_columns_have_as_many_rungs_as_rows_went_over_them():
    """By hand: two of the five rows after the first turn back after 4 of 8 loops."""
    b = ScriptBuilder(Plan(design="x", title="X", gauge=JUMBO))
    back, out = Direction.LEFT_TO_RIGHT, Direction.RIGHT_TO_LEFT
    b.step("piece", Kind.FOUNDATION, op("co", 8), direction=back)
    b.step("piece", Kind.ROW, op("k", 8), row=1, direction=out)
    b.step("piece", Kind.ROW, op("k", 8), row=2, direction=back)
    b.step("piece", Kind.ROW, op("k", 4), op("turn"), row=3, direction=out)
    b.step("piece", Kind.ROW, op("k", 4), row=4, direction=back)
    b.step("piece", Kind.ROW, op("k", 8), row=5, direction=out)
    b.step("piece", Kind.ROW, op("k", 8), row=6, direction=back)
    script = b.finish()
    heights = [len(c.above) for c in repair.columns(script, 2)]
    assert heights == [5] * 4 + [3] * 4
    turned = repair.columns(script, 4)
    assert len(turned) == script.steps[3].reached == 4
    assert all(len(c.above) == 3 for c in turned)
