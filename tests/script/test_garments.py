"""Whole constructions, worked by hand: what real patterns do with edges, tubes and resting loops.

Counts of the sock: common practice (stitches to a multiple of 4, heel flap over half of them as
many rows as stitches, one loop picked up for each slipped edge).
"""

import pytest

from engine.script.audit import audit
from engine.script.rim import Live, around
from models.script import Craft, Direction, Kind
from tests.script.working import Piece, op
from tests.simulation.graph import Reading

AROUND = Direction.AROUND
N = Craft.NEEDLES


def sound(piece):
    script = piece.script()
    assert audit(script) == []
    assert Reading(script).faults == []


def rims_of(fabric):
    """How many live loops and edges lie on each rim that has loops in work."""
    return [[type(n).__name__ for n in around(node)] for node in fabric.nodes]


def test_a_sock():
    """Heel flap with slipped edges, turned heel, gusset, and the toe grafted."""
    piece = Piece(40, N)
    for _ in range(6):
        piece.round(op("k", 40), part="leg")
    piece.step(Kind.MARKER, op("rest", 20, "instep"), part="heel")
    for row in range(20):
        piece.row(
            op("sl"), op("k" if row % 2 == 0 else "p", 19), part="heel", leftward=row % 2 == 0
        )
    turn = [
        (op("k", 12), op("ssk"), op("k"), op("turn")),
        (op("sl"), op("p", 5), op("p2tog"), op("p"), op("turn")),
        (op("sl"), op("k", 6), op("ssk"), op("k"), op("turn")),
        (op("sl"), op("p", 7), op("p2tog"), op("p"), op("turn")),
        (op("sl"), op("k", 8), op("ssk"), op("k"), op("turn")),
        (op("sl"), op("p", 9), op("p2tog"), op("p"), op("turn")),
        (op("sl"), op("k", 10), op("ssk")),
        (op("sl"), op("p", 10), op("p2tog")),
    ]
    for row, operations in enumerate(turn):
        piece.row(*operations, part="turn", leftward=row % 2 == 0)
    assert piece.b.live == 12
    piece.round(
        op("resume", 20, "instep"),
        op("k", 12),
        op("pick up", 10, "the left edge of the heel"),
        op("k", 20),
        op("pick up", 10, "the right edge of the heel"),
        part="foot",
    )
    fabric, _ = piece.fabric()
    assert rims_of(fabric) == [["Live"]]
    assert fabric.count == 52
    for _ in range(6):
        live = piece.b.live
        piece.round(op("k", 20), op("k2tog"), op("k", live - 24), op("ssk"), part="foot")
    piece.step(Kind.MARKER, op("rest", 20, "top"), part="toe")
    piece.step(Kind.MARKER, op("rest", 20, "sole"), part="toe")
    piece.step(
        Kind.SEAM, op("pair", 20, "top|sole"), op("3nbo", 19), op("k2tog"), op("fasten"), part="toe"
    )
    piece.step(Kind.FINISH, part="toe")
    assert audit(piece.script()) == []


def test_gusset_edges_in_the_wrong_order_are_a_fault():
    piece = Piece(16, N)
    piece.round(op("k", 16), part="leg")
    piece.step(Kind.MARKER, op("rest", 8, "instep"), part="heel")
    for row in range(4):
        piece.row(op("sl"), op("k", 7), part="heel", leftward=row % 2 == 0)
    wrong = (
        op("resume", 8, "instep"),
        op("k", 8),
        op("pick up", 2, "the right edge of the heel"),
        op("k", 8),
        op("pick up", 2, "the left edge of the heel"),
    )
    piece.round(*wrong, part="foot")
    assert "do not lie beside" in audit(piece.script())[0]


def tube(piece, part, loops, rounds):
    piece.step(Kind.FOUNDATION, op("co", loops), part=part, direction=Direction.LEFT_TO_RIGHT)
    for _ in range(rounds):
        piece.round(op("k", loops), part=part)


def test_a_yoke_from_three_tubes_and_underarms_grafted():
    """From the bottom up: body and sleeves are of different heights where they are joined."""
    piece = Piece(0, N)
    for part, loops, rounds in (("left sleeve", 12, 9), ("right sleeve", 12, 9), ("body", 40, 15)):
        tube(piece, part, loops, rounds)
        if part != "body":
            piece.step(Kind.MARKER, op("rest", 3, f"{part} underarm"), part=part)
            piece.step(Kind.MARKER, op("rest", 9, part), part=part)
    # The body is laid aside from its far end on: back, underarm, front, underarm.
    for count, name in ((3, "left underarm"), (17, "back"), (3, "right underarm"), (17, "front")):
        piece.step(Kind.MARKER, op("rest", count, name), part="body")
    piece.round(
        op("resume", 17, "front"),
        op("resume", 9, "right sleeve"),
        op("resume", 17, "back"),
        op("resume", 9, "left sleeve"),
        op("k", 52),
        part="yoke",
    )
    fabric, _ = piece.fabric()
    assert rims_of(fabric) == [["Live"]]
    hole = fabric.rests["right underarm"][0]
    assert {n for n in around(hole) if isinstance(n, Live)} == {
        hole, fabric.rests["right sleeve underarm"][0],
    }  # fmt: skip
    piece.round(op("k2tog", 26), part="yoke")
    piece.step(Kind.BIND_OFF, op("bo", 25), op("fasten"), op("tail"), part="yoke")
    for side in ("right", "left"):
        pair = op("pair", 3, f"{side} sleeve underarm|{side} underarm")
        piece.step(Kind.SEAM, pair, op("join"), op("3nbo", 2), op("k2tog"), op("fasten"), part=side)
    piece.step(Kind.FINISH, part="yoke")
    assert audit(piece.script()) == []


def test_shoulders_of_separate_pieces_must_be_level():
    piece = Piece(0, N)
    for part, rows in (("back", 6), ("front", 5)):
        piece.step(Kind.FOUNDATION, op("co", 8), part=part)
        for row in range(rows):
            piece.row(op("k", 8), part=part, leftward=row % 2 == 0)
        piece.step(Kind.MARKER, op("rest", 8, part), part=part)
    piece.step(Kind.SEAM, op("pair", 8, "front|back"), op("3nbo", 7), op("k2tog"), op("fasten"))
    assert "front is 5 rows high and back is 6" in audit(piece.script())[0]


def crew_neck():
    """A front whose middle is bound off, both sides worked apart, a back whose neck waits."""
    piece = Piece(0, N)
    piece.step(Kind.FOUNDATION, op("co", 20), part="back")
    for row in range(8):
        piece.row(op("k", 20), part="back", leftward=row % 2 == 0)
    piece.step(Kind.MARKER, op("tail"), op("rest", 20, "back"), part="back")
    piece.step(Kind.FOUNDATION, op("co", 20), part="front")
    for row in range(4):
        piece.row(op("k", 20), part="front", leftward=row % 2 == 0)
    piece.row(op("k", 7), op("bo", 6), op("k", 7), part="front", leftward=True)
    # The side at the left as seen goes on, three rows; the other waits, and follows.
    piece.row(op("rest", 7, "waits"), op("k", 7), part="one side", leftward=False)
    piece.row(op("k", 7), part="one side").row(op("k", 7), part="one side")
    piece.row(op("rest", 7, "one side"), op("resume", 7, "waits"), op("k", 7), part="other side",
              leftward=False)  # fmt: skip
    piece.row(op("k", 7), part="other side").row(op("k", 7), part="other side")
    piece.step(Kind.MARKER, op("tail"), op("rest", 7, "other side"), part="other side")
    piece.step(Kind.SEAM, op("pair", 7, "one side|back"), op("join"), op("3nbo", 7), part="seams")
    piece.step(Kind.MARKER, op("resume", 6, "back"), part="seams")
    piece.step(Kind.MARKER, op("rest", 6, "back neck"), part="seams")
    return piece.step(
        Kind.SEAM, op("pair", 7, "other side|back"), op("3nbo", 7), op("tail"), part="seams"
    )


BAND = (
    op("resume", 6, "back neck"),
    op("k", 6),
    op("pick up", 3, "the left edge of the other side"),
    op("pick up", 6, "the bound-off edge of the front"),
    op("pick up", 3, "the right edge of the one side"),
)


def test_a_neckband_over_held_loops_and_edges():
    piece = crew_neck().step(Kind.PICK_UP, op("join"), *BAND, part="band", direction=AROUND)
    fabric, _ = piece.fabric()
    assert rims_of(fabric) == [["Live"]]
    sound(piece.round(op("k", 18), part="band").off("band"))


@pytest.mark.parametrize("order", [(0, 1, 4, 3, 2), (0, 1, 3, 2, 4), (2, 4, 3, 0, 1)])
def test_a_neckband_picked_up_in_another_order_is_a_fault(order):
    piece = crew_neck()
    piece.step(Kind.PICK_UP, *(BAND[i] for i in order), part="band", direction=AROUND)
    assert "beside" in audit(piece.script())[0] or "passed by" in audit(piece.script())[0]


def test_a_left_hand_does_it_all_mirrored():
    from models.script import Hand

    right, left = (
        Piece(20, hand=hand).row(op("k", 12), op("turn")).row(op("k", 6), op("turn"))
        .row(op("k", 6), op("2/2 rc"), op("k", 4)).row(op("k", 20)).off()
        for hand in Hand
    )  # fmt: skip
    for piece in (right, left):
        assert audit(piece.script()) == []
    assert left.script().steps[1].direction is Direction.LEFT_TO_RIGHT


@pytest.mark.parametrize("loops", [1, 2, 7])
def test_a_band_along_some_rows_and_the_corner(loops):
    """A pocket's edge, picked up over live loops beside it: the loops beyond stay as they lie."""
    piece = Piece(10)
    for _ in range(6):
        piece.row(op("k", 10))
    piece.step(Kind.PICK_UP, op("pick up", loops, "the right edge of the piece"), part="band")
    fabric, _ = piece.fabric()
    assert fabric.count == 10 + loops
    assert rims_of(fabric)[0][0] == "Live"
