"""At the same time: two shapings in one row, two parts on one clock."""

import pytest

from engine.base.refusal import Refusal
from engine.script import clock
from engine.script.audit import audit
from engine.script.clock import Row, Shaping, Track
from models.script import Direction, Kind
from tests.script.working import Piece, op
from tests.simulation.graph import Reading

OUT, BACK = Direction.RIGHT_TO_LEFT, Direction.LEFT_TO_RIGHT


def told(operations):
    return " ".join(f"{o.stitch}{o.times}" for o in operations if o.times)


def test_an_armhole_and_a_neck_in_the_same_rows():
    """By hand, a left front of 20 seen from the right side: the armhole at its right loses one in
    every other row four times, the neck at its left one in every fourth row from row 3 on, a loop
    in from the edge. Rows 3 and 7 have both."""
    armhole = Shaping("k2tog", at_right=True, rows=range(1, 8, 2))
    neck = Shaping("ssk", at_right=False, rows=range(3, 12, 4), plain=1)
    live, rows = 20, []
    for number in range(1, 12):
        leftward = number % 2 == 1
        row = clock.row(number, live, [armhole, neck], leftward=leftward)
        assert sum(o.takes for o in row) == live
        live += sum(o.leaves - o.takes for o in row)
        rows.append(told(row))
    assert rows[:4] == ["k2tog1 k18", "k19", "k2tog1 k14 ssk1 k1", "k17"]
    assert rows[6] == "k2tog1 k11 ssk1 k1"
    assert rows[10] == "k11 ssk1 k1"
    assert live == 20 - 4 - 3


def test_a_row_that_comes_back_begins_at_the_other_end():
    one = Shaping("bo", at_right=False, rows=(2,), times=3)
    assert told(clock.row(2, 12, [one], leftward=False)) == "bo3 k9"


def test_too_much_at_the_same_time_is_refused():
    ends = [Shaping("k2tog", at_right=side, rows=(1,), plain=2) for side in (True, False)]
    with pytest.raises(Refusal, match="takes 8"):
        clock.row(1, 7, ends, leftward=True)


def test_two_sides_of_a_neck_with_a_ball_each():
    piece = Piece(20).row(op("k", 20)).row(op("k", 20))
    piece.row(op("k", 7), op("bo", 6), op("k", 7))
    for name in ("left side", "right side"):  # the far end first: the hand is at the left
        piece.step(Kind.MARKER, op("rest", 7, name), direction=OUT)
    shape = {
        "right side": Shaping("dec", at_right=False, rows=(1, 3)),
        "left side": Shaping("dec", at_right=True, rows=(2, 4)),
    }
    tracks = []
    for name, first_leftward in (("right side", True), ("left side", False)):
        live, rows = 7, []
        for number in range(1, 6):
            leftward = first_leftward is (number % 2 == 1)
            row = clock.row(number, live, [shape[name]], leftward=leftward)
            live += sum(o.leaves - o.takes for o in row)
            rows.append(Row(row, OUT if leftward else BACK))
        tracks.append(Track(name, tuple(rows)))
    clock.side_by_side(piece.b, tracks)
    steps = [s for s in piece.b.steps if s.part in shape and s.counts_row]
    assert [(s.part, s.row) for s in steps[:4]] == [
        ("right side", 1), ("left side", 1), ("right side", 2), ("left side", 2),
    ]  # fmt: skip
    assert piece.b.rests["right side"] == piece.b.rests["left side"] == 5
    for name in shape:
        piece.step(Kind.BIND_OFF, op("resume", 5, name), op("bo", 4), op("fasten"), part=name)
    piece.step(Kind.FINISH)
    script = piece.b.finish(level=[tuple(shape)])
    assert audit(script) == []
    assert Reading(script).faults == []
