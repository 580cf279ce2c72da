"""Charts: what is drawn is what is worked."""

import pytest
from hypothesis import HealthCheck, given, settings

from counter.commandline import main
from engine.base.refusal import Refusal
from engine.draw.chart import EMPTY, chart
from engine.draw.chart_text import GAP, drawn
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script.builder import ScriptBuilder, op
from models.plan import Plan
from models.script import LOOP_KINDS, Craft, Direction, Hand, Kind
from tests.designs.strategies import plans
from tests.script.working import Piece


def cells(row):
    return "".join(row.cells)


def script(name, gauge="5 x 3.75", **more):
    return script_for(make_plan(name, read_gauge(gauge), **more))


def built(*rows, craft=Craft.NEEDLES):
    """A part of the given rows, each a list of operations; turned from row to row."""
    b = ScriptBuilder(Plan(design="test", title="Test", gauge=read_gauge("5x5"), craft=craft))
    b.step("part", Kind.FOUNDATION, op("co", 6), direction=Direction.LEFT_TO_RIGHT)
    for number, operations in enumerate(rows, 1):
        b.step("part", Kind.ROW, *operations, row=number, side="RS" if number % 2 else "WS")
    return b.finish()


def test_right_front_loses_its_right_edge():
    rows = chart(script("cardigan", size="M"), "right front").rows
    assert cells(rows[0]) == "|||||^"
    assert cells(rows[1]) == "||||||"
    assert cells(rows[2]) == "||||^ "
    assert [row.from_right for row in rows[:3]] == [True, False, True]


def test_left_front_mirrors_the_right():
    right, left = (
        [cells(row) for row in chart(script("cardigan", size="M"), part).rows]
        for part in ("right front", "left front")
    )
    assert [row[::-1] for row in right] == left


def test_a_wrong_side_row_is_drawn_from_the_right_side():
    # Craft Yarn Council, chart symbols (from memory): a purl on the wrong side looks knitted and
    # has the symbol of knit.
    rows = chart(built([op("k", 6)], [op("p", 6)], [op("k", 6)], [op("k", 6)]), "part").rows
    assert [cells(row) for row in rows] == ["UUUUUU", "||||||", "||||||", "||||||", "––––––"]
    assert [row.arrow for row in rows[1:]] == ["←", "→", "←", "→"]


def test_first_stitch_of_a_right_side_row_is_at_the_right():
    rows = chart(built([op("k2tog"), op("k", 3), op("p")]), "part").rows
    assert cells(rows[1]) == "–|||/ "
    back = chart(built([op("k", 6)], [op("p2tog"), op("p", 3), op("k")]), "part").rows
    assert cells(back[2]) == " /|||–"


def test_increases_open_columns():
    rows = chart(built([op("k", 3), op("yo"), op("k", 3)], [op("p", 7)]), "part").rows
    assert cells(rows[0]) == "UUU UUU"
    assert cells(rows[1]) == "|||O|||"
    assert cells(rows[2]) == "|||||||"


def test_edges_grow_outward():
    rows = chart(built([op("kfb", 2), op("k", 2), op("kfb", 2)]), "part").rows
    assert cells(rows[0]) == "  UUUUUU  "
    assert cells(rows[1]) == "YY||||||YY"


def test_a_decrease_within_the_row_leaves_its_neighbours_place_empty():
    rows = chart(built([op("k", 2), op("k2tog"), op("k", 2)], [op("p", 5)]), "part").rows
    assert cells(rows[1]) == "|| /||"
    assert cells(rows[2]) == "|| |||"


def test_the_row_in_work_is_lit():
    cardigan = script("cardigan", size="M")
    step = next(s for s in cardigan.steps if s.part == "right front" and s.row == 3)
    lines = drawn(chart(cardigan, "right front", step.number))
    lit = [line for line in lines if line.startswith("▶")]
    assert lit[0].split()[1:4] == ["||||^", "3", "←"]
    assert lit[1:] == ["▶  the row in work"]


def test_wide_and_long_charts_are_cut_to_what_fits():
    throw = chart(script("throw"), "throw")
    lines = drawn(throw, 60)
    assert max(map(len, lines)) <= 60
    assert len(lines) < 12
    assert any(GAP in line and "47 loops like those beside them" in line for line in lines)
    assert any("rows 2 to 48 are the same" in line for line in lines)
    assert len(drawn(throw, 60, all_rows=True)) > 49


def test_every_symbol_has_its_words():
    for name in ("cardigan", "cap", "shawl", "cowl"):
        made = script(name)
        for part in made.parts:
            if any(s.part == part and s.kind in LOOP_KINDS for s in made.steps):
                one = chart(made, part)
                used = {cell for row in one.rows for cell in row.cells} - {EMPTY}
                assert used == {symbol for symbol, _ in one.key}
                assert all(words for _, words in one.key)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans())
def test_a_row_shows_one_cell_for_each_loop_it_leaves_or_binds_off(plan):
    try:
        made = script_for(plan)
    except Refusal:
        return
    steps = {s.number: s for s in made.steps}
    parts = list(dict.fromkeys(s.part for s in made.steps if s.counts_row))
    for part in {parts[0], parts[min(1, len(parts) - 1)], parts[-1]}:
        for row in chart(made, part).rows:
            step = steps[row.step]
            if step.counts_row:
                bound = sum(o.times for o in step.operations if o.stitch == "bo")
                shown = sum(cell != EMPTY for cell in row.cells)
                assert shown == step.loops_after + bound, (plan.design, part, step.number)
                assert row.loops == step.loops_after


def test_a_part_without_rows_is_refused():
    with pytest.raises(Refusal, match="the parts are body"):
        chart(script("cardigan", size="M"), "collar")


def test_command(capsys):
    assert main(["chart", "cap", "--part", "crown", "--gauge", "5 x 3.75"]) == 0
    out = capsys.readouterr().out
    assert "Cap: crown" in out
    assert "^  decrease: 2 become 1" in out
    assert main(["chart", "cap", "--part", "sleeve"]) == 2
    assert "the parts are brim, cap, crown" in capsys.readouterr().err


def test_a_stitch_without_a_symbol_borrows_a_letter():
    one = chart(built([op("k4tog"), op("k", 2)], [op("p", 3)]), "part")
    (lent,) = [symbol for symbol, words in one.key if words == "knit 4 together"]
    assert cells(one.rows[1]) == f"||{lent}   "


def rows_of(piece):
    return [cells(row) for row in chart(piece.script(), "piece").rows]


def test_a_crossing_leans_as_its_front_does():
    # Craft Yarn Council, chart symbols (from memory): the stitches in front are drawn slanting,
    # to the right for a right cross; a purled one behind has the purl's stroke.
    needles = Craft.NEEDLES
    piece = Piece(8, needles).row(op("p", 2), op("2/2 rc"), op("p", 2))
    piece.row(op("k", 2), op("p", 4), op("k", 2))
    piece.row(op("p"), op("2/1 rpc"), op("2/1 lpc"), op("p"))
    assert rows_of(piece)[1:] == ["––||╱╱––", "––||||––", "–╲╲––╱╱–"]
    key = dict(chart(piece.script(), "piece").key)
    assert key["||╱╱"] == "cross 2 over 2 to the right"
    assert key["╲╲–"] == "cross 2 over 1 to the left with purl behind"


def test_a_crossing_from_the_wrong_side_is_drawn_as_it_looks():
    """Seen from behind, what passes in front to the right passes behind to the left; the others
    pass in front of it, to the right."""
    piece = Piece(3, Craft.NEEDLES).row(op("k", 3)).row(op("2/1 rc"))
    assert rows_of(piece)[-1] == "||╱"


def test_a_left_hands_chart_is_the_mirror_image():
    work = (op("k", 2), op("k2tog"), op("2/1 lc"), op("k"))
    right = rows_of(Piece(8).row(*work))
    left = rows_of(Piece(8, hand=Hand.LEFT).row(*work))
    swap = str.maketrans("/\\╱╲", "\\/╲╱")
    assert [row[::-1].translate(swap) for row in right] == left


def test_a_turned_row_shows_where_it_turns_and_the_loops_that_wait():
    piece = Piece(10, Craft.NEEDLES).row(op("k", 7), op("w&t")).row(op("p", 4), op("w&t"))
    piece.row(op("k", 4), op("k wrap"), op("k", 2))
    assert rows_of(piece) == ["UUUUUUUUUU", "  ⤺|||||||", "   ||||⤺  ", "||‖||||   "]
    assert (
        drawn(chart(piece.script(), "piece"))[-1] == "an empty place: no stitch, or one that waits"
    )


def test_a_yarn_over_takes_the_place_that_its_decrease_leaves():
    """Lace keeps its columns: published charts have no gap in `yo, k2tog` (common practice)."""
    piece = Piece(9).row(
        op("k", 2), op("yo"), op("k2tog"), op("k"), op("ssk"), op("yo"), op("k", 2)
    )
    assert rows_of(piece.row(op("k", 9))) == ["UUUUUUUUU", "||O\\|/O||", "|||||||||"]
    centred = (op("k"), op("yo"), op("k3tog"), op("yo"), op("k"))
    assert rows_of(Piece(5).row(*centred).row(op("k", 5))) == ["UUUUU", "|OΛO|", "|||||"]


def test_loops_that_waited_lie_before_those_picked_up_after_them():
    # The round begins with the underarm's loops, so the sleeve narrows at its two edges and nowhere
    # has a gap.
    plan = make_plan("pullover", read_gauge("8 x 7"))
    for row in chart(script_for(plan), "left sleeve").rows:
        assert EMPTY not in "".join(row.cells).strip(EMPTY)
