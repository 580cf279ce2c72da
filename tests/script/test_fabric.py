"""Which loop lies beside which: worked by hand, and broken on purpose."""

import pytest

from engine.script.audit import audit
from engine.script.fabric import Unworkable
from engine.script.rim import Live, Side, Strands, around
from models.script import Craft, Direction, Hand, Kind
from tests.script.working import Piece, op

AROUND = Direction.AROUND


def live(piece):
    return list(piece.fabric()[0].live)


def fault(piece):
    faults = audit(piece.script())
    return faults[0] if faults else ""


def rim(node):
    """A rim in words, from a node on."""
    told = []
    for one in around(node):
        if isinstance(one, Live):
            told.append(f"live {one.count}")
        elif isinstance(one, Side):
            told.append(f"{one.part} {'right' if one.first else 'left'} {one.rows}")
        elif isinstance(one, Strands):
            told.append(f"{one.part} {'foundation' if one.foundation else 'bound'} {one.loops}")
    return told


# --- rims, by hand ---------------------------------------------------------------------------


def test_a_flat_piece_has_one_rim():
    fabric, _ = Piece(6).row(op("k", 6)).row(op("k", 6)).fabric()
    # Walk with the fabric on the left: live from right to left, down the left edge, along the
    # foundation, up the right edge.
    assert rim(fabric.nodes[0]) == [
        "live 6", "piece left [2, 1]", "piece foundation 6", "piece right [1, 2]",
    ]  # fmt: skip


def test_a_tube_has_two():
    fabric, _ = Piece(6).round(op("k", 6)).fabric()
    assert rim(fabric.nodes[0]) == ["live 6"]
    assert rim(fabric.edges[0]) == ["piece foundation 6"]


def test_a_buttonhole_is_a_rim_of_its_own():
    piece = (
        Piece(9).row(op("k", 3), op("bo", 3), op("k", 3)).row(op("k", 3), op("co", 3), op("k", 3))
    )
    fabric, _ = piece.fabric()
    hole = next(n for n in fabric.edges if isinstance(n, Strands) and not n.foundation)
    assert rim(hole) == ["piece bound 3", "piece right [1]", "piece foundation 3", "piece left [1]"]
    assert rim(fabric.nodes[0])[0] == "live 9"
    assert audit(piece.row(op("k", 9)).off().script()) == []


def test_a_split_tube_leaves_each_sleeve_a_rim_with_its_underarm():
    piece = Piece(60).round(op("k", 60))
    piece.round(
        op("k", 10), op("rest next", 15, "right sleeve"), op("co", 4), op("k", 20),
        op("rest next", 10, "left sleeve"), op("co", 4), op("k", 5),
        part="body",
    )  # fmt: skip
    fabric, _ = piece.fabric()
    assert [rim(n) for n in fabric.nodes] == [["live 43"]]
    assert rim(fabric.rests["right sleeve"][0]) == ["live 15", "body foundation 4"]
    assert rim(fabric.rests["left sleeve"][0]) == ["live 10", "body foundation 4"]
    # The sleeve: its loops, and the underarm's four along the cast-on edge of the body.
    piece.step(Kind.BIND_OFF, op("bo", 42), op("fasten"), op("tail"), part="body")
    piece.step(
        Kind.PICK_UP, op("resume", 15, "right sleeve"), op("join"),
        op("pick up", 4, "the foundation of the body"), part="sleeve", direction=AROUND,
    )  # fmt: skip
    fabric, _ = piece.fabric()
    assert rim(fabric.nodes[0]) == ["live 19"]
    piece.round(op("k", 19), part="sleeve").off("sleeve")
    assert "10 rest" in audit(piece.script())[-1]


def test_a_cast_on_at_the_end_of_a_row_widens_the_piece():
    piece = Piece(4).row(op("k", 4)).step(Kind.FOUNDATION, op("co", 3)).row(op("k", 7))
    fabric, _ = piece.fabric()
    assert rim(fabric.nodes[0]) == [
        "live 7", "piece left [2]", "piece foundation 3", "piece left [1]",
        "piece foundation 4", "piece right [1, 2]",
    ]  # fmt: skip


def test_steps_bound_off_at_the_beginning_of_rows():
    piece = Piece(10).row(op("bo", 2), op("k", 8)).row(op("bo", 2), op("k", 6)).row(op("k", 6))
    fabric, _ = piece.fabric()
    assert rim(fabric.nodes[0]) == [
        "live 6", "piece left [3, 2]", "piece bound 2", "piece left [1]",
        "piece foundation 10", "piece bound 2", "piece right [1, 2, 3]",
    ]  # fmt: skip


def panels():
    """A body of 12 split in two panels of 5 with a bound-off strip of 2, each two rows high."""
    piece = Piece(12).row(op("k", 12)).row(op("k", 12))
    piece.row(op("rest", 7, "body"), op("k", 5), part="front").row(op("k", 5), part="front")
    piece.step(Kind.BIND_OFF, op("rest", 5, "front"), op("resume", 2, "body"), op("bo", 2),
               part="strip", direction=Direction.RIGHT_TO_LEFT)  # fmt: skip
    piece.row(op("resume", 5, "body"), op("k", 5), part="back").row(op("k", 5), part="back")
    return piece.step(Kind.MARKER, op("rest", 5, "back"))


def test_a_shoulder_closes_an_armhole():
    piece = panels()
    fabric, _ = piece.fabric()
    assert rim(fabric.rests["front"][0])[:4] == [
        "live 5", "front left [2, 1]", "strip bound 2", "back right [1, 2]",
    ]  # fmt: skip
    piece.step(Kind.SEAM, op("pair", 3, "front|back"), op("seam", 5), part="shoulder")
    fabric, _ = piece.fabric()
    hole = next(n for n in fabric.edges if n.part == "strip")
    assert rim(hole) == ["strip bound 2", "back right [1, 2]", "front left [2, 1]"]
    # The chain's last loop lies between what is left of the front and of the back.
    assert rim(fabric.nodes[0])[:2] == ["live 1", "live 2"]
    assert rim(fabric.nodes[0])[-1] == "live 2"


def test_an_armhole_is_picked_up_in_the_order_in_which_it_lies():
    piece = panels().step(Kind.SEAM, op("pair", 5, "front|back"), op("seam", 9), op("fasten"),
                          part="shoulder")  # fmt: skip
    good = (op("pick up", 2, "the bound-off edge of the strip"),
            op("pick up", 3, "the right edge of the back"),
            op("pick up", 3, "the left edge of the front"))  # fmt: skip
    piece.step(Kind.PICK_UP, op("join"), *good, part="sleeve", direction=AROUND)
    fabric, _ = piece.fabric()
    assert rim(fabric.nodes[0]) == ["live 8"]
    loops = list(fabric.live)
    assert [fabric.source(loop) for loop in loops[::3]] == [
        "the bound-off edge of the strip",
        "the right edge of the back",
        "the left edge of the front",
    ]
    assert audit(piece.round(op("k", 8), part="sleeve").off("sleeve").script()) == []


@pytest.mark.parametrize("order", [(0, 2, 1), (1, 2, 0), (2, 1, 0)])
def test_an_armhole_picked_up_in_another_order_is_a_fault(order):
    piece = panels().step(Kind.SEAM, op("pair", 5, "front|back"), op("seam", 9), op("fasten"),
                          part="shoulder")  # fmt: skip
    edges = ["the bound-off edge of the strip", "the right edge of the back",
             "the left edge of the front"]  # fmt: skip
    ups = [op("pick up", 3, edges[i]) for i in order]
    piece.step(Kind.PICK_UP, op("join"), *ups, part="sleeve", direction=AROUND)
    cyclic = order in {(1, 2, 0)}
    assert ("do not lie beside" in fault(piece)) is not cyclic


def spare_at_the_shoulder():
    """The armhole's far end of a shoulder chain leaves a loop live."""
    piece = panels()
    # From the neck to the armhole: the front's first loop with the back's last.
    piece.step(Kind.MARKER, op("resume", 5, "front"))
    piece.step(Kind.BIND_OFF, op("bo", 4), part="front top")
    return piece.step(Kind.MARKER, op("rest", 1, "spare"))


def test_a_live_loop_on_the_rim_is_not_passed_by():
    piece = spare_at_the_shoulder()
    up = (
        op("pick up", 2, "the left edge of the front"),
        op("pick up", 2, "the bound-off edge of the strip"),
    )
    placed = (op("resume", 1, "spare"), *up)
    piece.step(Kind.PICK_UP, op("join"), *placed, part="band", direction=Direction.RIGHT_TO_LEFT)
    fabric, _ = piece.fabric()
    assert rim(fabric.nodes[0])[0] == "live 5"
    late = spare_at_the_shoulder()
    late.step(Kind.PICK_UP, op("join"), *up, op("resume", 1, "spare"), part="band",
              direction=Direction.RIGHT_TO_LEFT)  # fmt: skip
    assert "do not lie beside" in fault(late)


# --- loops worked as one ---------------------------------------------------------------------


def test_a_decrease_over_a_bound_off_gap_is_a_fault():
    piece = Piece(9).row(op("k", 3), op("bo", 3), op("k", 3))
    piece.row(op("k", 2), op("dec"), op("k", 2))
    assert "do not lie side by side" in fault(piece)


def test_two_pieces_may_be_joined_by_a_decrease():
    piece = Piece(4).row(op("k", 4)).step(Kind.MARKER, op("rest", 4, "one"))
    piece.step(Kind.FOUNDATION, op("co", 4), part="other", direction=Direction.LEFT_TO_RIGHT)
    piece.row(op("k", 4), part="other", leftward=True)
    piece.row(op("resume", 4, "one"), op("k", 3), op("dec"), op("k", 3), part="yoke",
              leftward=True)  # fmt: skip
    piece.row(op("k", 7), part="yoke").off("yoke")
    assert audit(piece.script()) == []


def test_a_slipped_loop_is_the_same_loop():
    piece = Piece(4).row(op("k", 4)).row(op("sl"), op("k", 3))
    (fabric, pulls) = piece.fabric()
    before = [loop for one in pulls[1] for ids in one.made for loop in ids]
    assert list(fabric.live)[-1] == before[-1]


def test_a_loop_is_passed_over_those_after_it():
    piece = Piece(5).row(op("k"), op("sl"), op("k"), op("psso"), op("k", 2))
    fabric, pulls = piece.fabric()
    first = [loop for one in pulls[0] for ids in one.made for loop in ids][::-1]
    assert fabric.count == 4
    assert first[1] not in set(fabric.live)
    assert audit(piece.row(op("k", 4)).off().script()) == []


@pytest.mark.parametrize(
    "row",
    [
        (op("k", 2), op("psso"), op("k", 3)),
        (op("sl"), op("psso"), op("k", 4)),
        (op("sl"), op("k"), op("psso", 2), op("k", 3)),
        (op("sl"), op("k", 8), op("psso")),
    ],
)
def test_nothing_is_passed_over_that_was_not_slipped(row):
    count = sum(o.takes for o in row)
    assert "slipped" in fault(Piece(count).row(*row))


def test_a_double_decrease_by_passing_over():
    piece = Piece(5).row(op("k"), op("sl", 2), op("k"), op("psso", 2), op("k"))
    fabric, pulls = piece.fabric()
    middle = next(p for p in pulls[1] if p.operation.stitch == "psso")
    assert len([loop for ids in middle.used for loop in ids]) == 2
    assert fabric.count == 3
    assert audit(piece.row(op("k", 3)).off().script()) == []


def test_over_knit_and_yarn_over_one_is_passed():
    piece = Piece(3).row(op("sl"), op("k"), op("yo"), op("psso"), op("k"))
    assert piece.fabric()[0].count == 3
    assert audit(piece.row(op("k", 3)).off().script()) == []


# --- crossings -------------------------------------------------------------------------------


def strands(piece):
    """For each live loop, right to left, the place in the foundation that it comes from."""
    fabric, pulls = piece.fabric()
    from_ = {}
    start = [loop for one in pulls[0] for ids in one.made for loop in ids][::-1]
    for step in pulls[1:]:
        for one in step:
            for pull in one.each():
                for loop in pull.made:
                    from_[loop] = from_.get(pull.used[0], pull.used[0])
    return [start.index(from_[loop]) for loop in fabric.live]


@pytest.mark.parametrize("craft", Craft)
@pytest.mark.parametrize(
    ("key", "order"),
    # By hand, from the right: the front two of 2/1 rc come from the left and go to the right.
    [("2/2 rc", [2, 3, 0, 1]), ("2/1 rc", [1, 2, 0]), ("2/1 lc", [2, 0, 1]),
     ("2/1/2 lpc", [3, 4, 2, 0, 1])],
)  # fmt: skip
def test_a_crossing_changes_places(craft, key, order):
    n = len(order)
    assert strands(Piece(n + 2, craft).row(op("k"), op(key), op("k"))) == [
        0, *(i + 1 for i in order), n + 1,
    ]  # fmt: skip


def test_a_crossing_worked_from_the_left_looks_the_same():
    # Two knit rows are not the same as one, so both begin at the end that their row asks for.
    left = Piece(5).row(op("k", 5)).row(op("k"), op("2/1 rc"), op("k"))
    assert strands(left) == [0, 2, 3, 1, 4]


def test_a_left_handed_crossing_is_the_mirror_image():
    piece = Piece(3, hand=Hand.LEFT).row(op("2/1 rc"))
    assert piece.script().steps[-1].operations[0].stitch == "2/1 lc"
    right = strands(Piece(3).row(op("2/1 rc")))
    assert strands(piece) == right  # laid out from where the first row begins


def test_a_crossing_over_a_gap_is_a_fault():
    piece = Piece(9).row(op("k", 3), op("bo", 3), op("k", 3)).row(op("k"), op("2/2 rc"), op("k"))
    assert "do not lie side by side" in fault(piece)


# --- short rows ------------------------------------------------------------------------------


@pytest.mark.parametrize("craft", Craft)
def test_a_turned_row_leaves_the_others_live(craft):
    piece = Piece(10, craft).row(op("k", 7), op("turn"))
    fabric, _ = piece.fabric()
    assert fabric.count == 10
    assert rim(fabric.nodes[0]) == ["live 10", "piece foundation 10", "piece right [1]"]
    piece.row(op("p", 4), op("turn")).row(op("k", 7))
    fabric, _ = piece.fabric()
    assert rim(fabric.nodes[0]) == [
        "live 10", "piece left [3]", "piece foundation 10", "piece right [1]",
    ]  # fmt: skip
    assert audit(piece.row(op("p", 10)).off().script()) == []


def test_after_a_turn_the_row_comes_back():
    piece = Piece(10).row(op("k", 7), op("turn")).row(op("k", 3), leftward=True)
    assert "turned" in fault(piece)


def test_after_a_turn_all_that_is_ahead_is_worked():
    assert "left unworked" in fault(Piece(10).row(op("k", 7), op("turn")).row(op("k", 6)))
    assert "7 are there" in fault(Piece(10).row(op("k", 7), op("turn")).row(op("k", 8)))


def test_a_wrap_is_worked_where_it_lies():
    piece = Piece(10).row(op("k", 7), op("w&t")).row(op("k", 7))
    good = (
        Piece(10)
        .row(op("k", 7), op("w&t"))
        .row(op("k", 7))
        .row(op("k", 7), op("k wrap"), op("k", 2))
    )
    assert audit(good.row(op("k", 10)).off().script()) == []
    piece.row(op("k", 6), op("k wrap"), op("k", 3))
    assert "no wrap" in fault(piece)


def test_a_wrap_needs_a_loop_to_wrap():
    assert "no loop ahead" in fault(Piece(5).row(op("k", 5), op("w&t")))


def test_a_double_stitch_is_slipped_and_worked_as_one():
    piece = Piece(10, Craft.NEEDLES).row(op("k", 7), op("turn")).row(op("mds"), op("p", 6))
    fabric, _ = piece.fabric()
    assert fabric.count == 10
    good = piece.row(op("k", 6), op("k ds"), op("k", 3)).row(op("p", 10)).off()
    assert audit(good.script()) == []
    bad = Piece(10, Craft.NEEDLES).row(op("k", 7), op("turn")).row(op("mds"), op("p", 6))
    assert "no double" in fault(bad.row(op("k", 7), op("k ds"), op("k", 2)))


def test_yarn_over_short_rows_add_a_loop_that_is_worked_off():
    piece = Piece(10, Craft.NEEDLES).row(op("k", 7), op("turn")).row(op("yo"), op("p", 7))
    assert piece.fabric()[0].count == 11
    piece.row(op("k", 7), op("k2tog"), op("k", 2)).row(op("p", 10)).off()
    assert audit(piece.script()) == []


def test_the_strand_of_a_turn_is_lifted():
    piece = Piece(10, Craft.NEEDLES).row(op("k", 7), op("turn")).row(op("sl"), op("p", 6))
    piece.row(op("k", 7), op("k strand"), op("k", 2)).row(op("p", 10)).off()
    assert audit(piece.script()) == []


def test_a_turned_heel():
    """Common practice: 10 stitches; the middle first, then one more at either side, the gap closed
    by a decrease, until all are in work."""
    piece = Piece(10, Craft.NEEDLES).row(op("k", 6), op("ssk"), op("k"), op("turn"))
    piece.row(op("sl"), op("p", 3), op("p2tog"), op("p"), op("turn"))
    piece.row(op("sl"), op("k", 4), op("ssk"), leftward=True)
    piece.row(op("sl"), op("p", 4), op("p2tog"))
    assert piece.fabric()[0].count == 6
    assert audit(piece.row(op("k", 6)).off().script()) == []


def test_short_rows_within_a_tube_may_cross_its_beginning():
    piece = Piece(20).round(op("k", 20))
    piece.round(op("k", 15), op("turn"))
    piece.row(op("k", 18), op("turn"), leftward=False)
    fabric, _ = piece.fabric()
    assert fabric.count == 20
    assert rim(fabric.nodes[0]) == ["live 20"]
    # 15 from the beginning, back over it by 3: the hand stands 3 before the beginning.
    assert fabric.stand is not None
    assert fabric.stand.right == 17
    piece.round(op("k", 3))
    piece.round(op("k", 20)).off()
    assert audit(piece.script()) == []


def test_slipped_edges_and_turned_shoulders_can_be_chained():
    """Heights are of rows passed, not of loops: a slipped edge is as high as its row."""
    piece = Piece(12).row(op("k", 12))
    piece.row(op("rest", 7, "body"), op("k", 5), part="front", leftward=True)
    piece.row(op("sl"), op("k", 4), part="front")
    piece.step(Kind.BIND_OFF, op("rest", 5, "front"), op("resume", 2, "body"), op("bo", 2),
               part="strip", direction=Direction.RIGHT_TO_LEFT)  # fmt: skip
    piece.row(op("resume", 5, "body"), op("k", 5), part="back", leftward=True)
    piece.row(op("k", 5), part="back").step(Kind.MARKER, op("rest", 5, "back"))
    piece.step(Kind.SEAM, op("pair", 5, "front|back"), op("seam", 9), op("fasten"), part="shoulder")
    piece.step(Kind.FINISH, part="shoulder")
    assert audit(piece.script()) == []


# --- the rest --------------------------------------------------------------------------------


def test_an_edge_that_is_not_there_is_a_fault():
    piece = Piece(5).row(op("k", 5)).off()
    piece.b.steps.pop()
    piece.step(Kind.PICK_UP, op("join"), op("pick up", 3, "the right edge of the collar"))
    assert "no edge" in fault(piece)


def test_some_rows_of_an_edge():
    piece = Piece(5)
    for _ in range(8):
        piece.row(op("k", 5))
    piece.step(Kind.MARKER, op("rest", 5, "top"))
    some = op("pick up", 3, "the right edge of the piece, rows 3 to 6")
    piece.step(Kind.PICK_UP, op("join"), some, part="pocket", direction=Direction.RIGHT_TO_LEFT)
    fabric, _ = piece.fabric()
    assert rim(fabric.nodes[0]) == [
        "live 3", "piece right [7, 8]", "live 5", "piece left [8, 7, 6, 5, 4, 3, 2, 1]",
        "piece foundation 5", "piece right [1, 2]",
    ]  # fmt: skip


def test_a_provisional_foundation_is_freed():
    piece = Piece(6).row(op("k", 6)).step(Kind.BIND_OFF, op("bo", 5), op("fasten"))
    piece.step(Kind.PICK_UP, op("free", 6, "the foundation"), op("join"), part="other")
    fabric, _ = piece.fabric()
    assert rim(fabric.nodes[0]) == ["live 6", "piece right [1]", "piece bound 6", "piece left [1]"]
    assert piece.b.steps[-1].yarn_loops == 2


def test_picking_up_goes_on_from_where_the_row_ended():
    """Twelve across, then down the left side without turning, as a shawl's border does."""
    piece = Piece(12)
    for _ in range(5):
        piece.row(op("k", 12))
    piece.step(Kind.PICK_UP, op("pick up", 4, "the left edge of the piece"), part="border")
    fabric, _ = piece.fabric()
    assert rim(fabric.nodes[0]) == ["live 16", "piece foundation 12", "piece right [1, 2, 3, 4, 5]"]
    wrong = Piece(12).row(op("k", 12))
    wrong.step(Kind.PICK_UP, op("pick up", 1, "the right edge of the piece"), part="border")
    assert "do not lie beside" in fault(wrong)


def test_resting_at_both_ends_and_a_middle():
    piece = Piece(10).row(op("rest next", 3, "right"), op("k", 4), op("rest next", 3, "left"))
    fabric, _ = piece.fabric()
    assert rim(fabric.nodes[0]) == [
        "live 4", "piece left [1]", "live 3", "piece foundation 10", "live 3", "piece right [1]",
    ]  # fmt: skip


def test_nothing_rests_there():
    with pytest.raises(Unworkable, match="nothing rests at 'holder'"):
        Piece(4).row(op("resume", 2, "holder"), op("k", 6)).fabric()


def test_a_decrease_that_names_a_loop_takes_it_in():
    def piece(before):
        made = Piece(6).row(op("k", 6)).step(Kind.MARKER, op("rest", 1, "spare"))
        made.step(Kind.MARKER, op("rest", 5, "body"))
        made.step(Kind.MARKER, op("resume", 5, "body")).step(Kind.MARKER, op("resume", 1, "spare"))
        return made.row(op("k", before), op("dec", 1, "spare"), op("k", 4 - before), leftward=True)

    assert fault(piece(2)) == (
        "step 7 (piece, row 2): decrease: the loop from spare does not lie there."
    )
    assert audit(piece(4).row(op("k", 5)).off().script()) == []
