"""The drawing in a terminal: to scale, at any size, and readable without colour.

Widths of characters come from the wcwidth library (Unicode East Asian Width, Annex #11).
"""

import pytest
from wcwidth import wcwidth

from engine.draw.schematic import layout
from engine.draw.schematic_cells import CELL_ASPECT, Cell, Tag, cells, legend
from models.script import Direction, Hand, Kind, RowScript
from models.state import Mark
from tests.draw.scripts import NAMES, script

SIZES = [(40, 15), (80, 24), (120, 40), (200, 60), (1, 1), (7, 3)]


def first(made: RowScript, part: str, row: int) -> int:
    """Index of that row's step."""
    return next(s.number for s in made.steps if s.part == part and s.row == row) - 1


def tags(grid: list[list[Cell]]) -> dict[Tag, int]:
    found: dict[Tag, int] = {}
    for line in grid:
        for _, tag in line:
            found[tag] = found.get(tag, 0) + 1
    return found


def places(grid: list[list[Cell]], tag: Tag) -> list[tuple[int, int]]:
    return [(x, y) for y, line in enumerate(grid) for x, (_, t) in enumerate(line) if t is tag]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", NAMES)
def test_it_fills_exactly_the_room_it_is_given(name: str, size: tuple[int, int]) -> None:
    made = script(name)
    drawing = layout(made)
    for at in (0, len(made.steps) // 2, len(made.steps)):
        grid = cells(drawing, at, *size)
        assert [len(line) for line in grid] == [size[0]] * size[1]
        assert {wcwidth(char) for line in grid for char, _ in line} == {1}


def test_no_room_is_no_drawing() -> None:
    assert cells(layout(script("throw")), 0, 0, 10) == []
    assert cells(layout(script("throw")), 0, 10, 0) == []


def test_both_axes_have_one_scale() -> None:
    made = script("throw", width=100, height=100)
    grid = cells(layout(made), len(made.steps), 80, 24)
    worked = places(grid, Tag.WORKED) + places(grid, Tag.LABEL_WORKED)
    across = max(x for x, _ in worked) - min(x for x, _ in worked) + 1
    down = max(y for _, y in worked) - min(y for _, y in worked) + 1
    assert across == pytest.approx(down * CELL_ASPECT, abs=2)
    assert down == 24


def test_what_is_worked_grows_with_the_work() -> None:
    made = script("cardigan")
    drawing = layout(made)
    rows = [s.number for s in made.steps if s.counts_row]
    filled = [
        sum(tags(cells(drawing, at, 120, 40)).get(t, 0) for t in (Tag.WORKED, Tag.LABEL_WORKED))
        for at in (0, *rows[9::10], len(made.steps))
    ]
    assert filled[0] == 0
    assert filled == sorted(filled)
    assert len(set(filled)) == len(filled)
    assert Tag.PLANNED not in tags(cells(drawing, len(made.steps), 120, 40))


def test_worked_share_is_the_share_of_stitches() -> None:
    made = script("throw")
    at = first(made, "throw", 25)
    grid = cells(layout(made), at, 200, 60)
    count = tags(grid)
    worked = count[Tag.WORKED]
    share = worked / (worked + sum(count.get(t, 0) for t in (Tag.PLANNED, Tag.LABEL, Tag.NOW)))
    rows = sum(s.counts_row for s in made.steps)
    assert share == pytest.approx(24 / rows, abs=0.04)


@pytest.mark.parametrize("hand", list(Hand))
def test_the_row_in_work_points_the_way_of_the_hand(hand: Hand) -> None:
    made = script("cardigan", hand=hand)
    drawing = layout(made)
    for row in (1, 2):
        at = first(made, "body", row)
        grid = cells(drawing, at, 80, 24)
        lit = sorted(places(grid, Tag.NOW))
        shown = "".join(grid[y][x][0] for x, y in lit)
        if made.steps[at].direction is Direction.RIGHT_TO_LEFT:
            assert shown[0] == "←"
        else:
            assert shown[-1] == "→"
        assert set(shown) - {"←", "→"} == {"═"}
    at = first(made, "right sleeve", 3)
    assert "↻" in {grid_cell[0] for line in cells(drawing, at, 80, 24) for grid_cell in line}


def test_the_row_in_work_lies_on_the_work() -> None:
    made = script("cardigan")
    grid = cells(layout(made), first(made, "back", 5), 100, 30)
    line = {y for _, y in places(grid, Tag.NOW)}.pop()
    left = min(x for x, _ in places(grid, Tag.NOW))
    assert grid[line + 1][left][1] in {Tag.WORKED, Tag.LABEL_WORKED}
    assert grid[line - 1][left][1] is Tag.PLANNED


def test_a_row_that_is_higher_than_a_line_is_lit_as_a_whole() -> None:
    made = script("cowl")
    drawing = layout(made)
    at = first(made, "cowl", 3)
    grid = cells(drawing, at, 200, 60)
    lines = sorted({y for _, y in places(grid, Tag.NOW)})
    scale = max(drawing.width / 200, drawing.height / 60 / CELL_ASPECT)
    high = 10 / made.gauge.rows_per_10cm / scale / CELL_ASPECT
    assert len(lines) == pytest.approx(high, abs=1)
    assert lines == list(range(lines[0], lines[-1] + 1))
    middle = places(grid, Tag.NOW)[0][0] + 5
    assert grid[lines[0] - 1][middle][1] is Tag.PLANNED
    assert grid[lines[-1] + 1][middle][1] is Tag.WORKED


@pytest.mark.parametrize("kind", [Kind.FOUNDATION, Kind.BIND_OFF, Kind.SEAM, Kind.PICK_UP])
def test_an_edge_in_work_is_lit(kind: Kind) -> None:
    made = script("cardigan")
    drawing = layout(made)
    for step in made.steps:
        if step.kind is kind:
            shown = {char for line in cells(drawing, step.number - 1, 80, 24) for char, _ in line}
            assert "━" in shown, step.part


def test_an_open_mark_is_a_cross_at_its_loop_and_a_mended_one_is_gone() -> None:
    made = script("cardigan")
    drawing = layout(made)
    at = first(made, "right front", 1)
    mark = Mark(number=1, step=first(made, "body", 7) + 1, part="body", row=7, loop=5)
    ((x, y),) = places(cells(drawing, at, 120, 40, [mark]), Tag.MARK)
    scale = max(drawing.width / 120, drawing.height / 40 / CELL_ASPECT)
    body = next(p for p in drawing.panels if p.part == "body")
    # Row 7 goes right to left, a loop is 2 cm wide and a row 10/3.75 cm high.
    left = (120 - drawing.width / scale) / 2
    top = (40 - drawing.height / scale / CELL_ASPECT) / 2
    assert x == pytest.approx(left + (body.right - 4.5 * 2) / scale - 0.5, abs=1)
    up = body.bottom + 6.5 * 10 / 3.75
    assert y == pytest.approx(top + (drawing.height - up) / scale / CELL_ASPECT - 0.5, abs=1)
    mended = mark.model_copy(update={"open": False})
    assert not places(cells(drawing, at, 120, 40, [mended]), Tag.MARK)


def test_markers_show_once_they_are_hung_in() -> None:
    made = script("cardigan")
    drawing = layout(made)
    hung = next(s.number for s in made.steps if s.kind is Kind.MARKER)
    assert not places(cells(drawing, hung - 1, 80, 24), Tag.MARKER)
    assert len(places(cells(drawing, hung, 80, 24), Tag.MARKER)) == 2


def test_nothing_rests_on_colour() -> None:
    """No character stands for two kinds of place; labels are words, and words only."""
    made = script("cardigan")
    drawing = layout(made)
    mark = Mark(number=1, step=5, part="body", row=4, loop=3)
    means: dict[str, set[Tag]] = {}
    for at in range(0, len(made.steps), 3):
        for line in cells(drawing, at, 100, 30, [mark]):
            for char, tag in line:
                means.setdefault(char, set()).add(tag)
    labels = {Tag.LABEL, Tag.LABEL_WORKED}
    for char, found in means.items():
        kinds = found - labels if char == " " else found
        assert len(kinds) == 1 or kinds == labels, (char, kinds)
    assert {char for char, _ in legend()} <= set(means)


def test_part_names_are_written_where_there_is_room() -> None:
    made = script("cardigan")
    text = "\n".join("".join(c for c, _ in line) for line in cells(layout(made), 0, 100, 30))
    for word in ("body", "back", "sleeve", "edging"):
        assert f" {word} " in text
