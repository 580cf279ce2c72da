"""A chart drawn in characters, for a terminal or a plain file."""

from itertools import groupby, pairwise

from engine.draw.chart import EMPTY, Chart, ChartRow
from engine.script import wording
from models.script import Craft

GAP = "⋯"
"""Stands for columns that are the same all the way up."""


def drawn(chart: Chart, width: int = 78, *, all_rows: bool = False) -> list[str]:
    """The chart in lines of text of at most `width` columns where that is possible, top row first.

    Columns and rows that repeat are drawn once or twice and said to repeat. The current row is
    lit by an arrowhead. Words follow the chart: the key, and what was left out.
    """
    word = wording.loop_word(chart.craft)
    name = max(len(_row_name(row)) for row in chart.rows)
    count = max(len(wording.counted(row.loops, chart.craft)) for row in chart.rows)
    room = max(8, width - 2 * name - count - 5)
    shown, hidden = _narrowed(chart, room)
    lines: list[str] = []
    for rows in reversed(_runs(chart.rows, shown, all_rows)):
        kept = rows if len(rows) <= 3 else (rows[0], rows[-1])
        for number, row in enumerate(reversed(kept)):
            if number == 1 and len(rows) > 3:
                lines.append(
                    f"{'':{name + 3}}⋮  rows {rows[1].label} to {rows[-2].label} are the same"
                )
            lines.append(_line(row, shown[row.step], name, chart.craft))
    lines.append("")
    lines += [f"{symbol}  {meaning}" for symbol, meaning in chart.key]
    if any(EMPTY in row.cells for row in chart.rows):
        waits = ", or one that waits" if chart.turned else ""
        lines.append(f"an empty place: no {wording.loop_word(chart.craft, 1)}{waits}")
    lines += [f"{GAP}  {left_out} {word} like those beside them" for left_out in hidden]
    if any(row.current for row in chart.rows):
        lines.append("▶  the row in work")
    return lines


def _row_name(row: ChartRow) -> str:
    return f"{row.label} {row.arrow}"


def _line(row: ChartRow, cells: str, width: int, craft: Craft) -> str:
    lit = "▶" if row.current else " "
    left, right = ("", _row_name(row)) if row.from_right else (_row_name(row), "")
    loops = wording.counted(row.loops, craft)
    return f"{lit} {left:>{width}} {cells} {right:<{width}} {loops}"


def _narrowed(chart: Chart, room: int) -> tuple[dict[int, str], list[int]]:
    """Each row's cells as text, with runs of equal columns cut until they fit, longest first."""
    columns = list(zip(*(row.cells for row in chart.rows), strict=True))
    runs = [(cells, len(list(group))) for cells, group in groupby(columns)]
    cut: set[int] = set()
    total = len(columns)
    for index in sorted(range(len(runs)), key=lambda i: -runs[i][1]):
        if total <= room or runs[index][1] <= 3:
            break
        cut.add(index)
        total -= runs[index][1] - 3
    pieces: list[tuple[str, ...]] = []
    for index, (cells, count) in enumerate(runs):
        if index in cut:
            gap = tuple(EMPTY if cell == EMPTY else GAP for cell in cells)
            pieces += [cells, gap, cells]
        else:
            pieces += [cells] * count
    shown = {row.step: "".join(piece[i] for piece in pieces) for i, row in enumerate(chart.rows)}
    return shown, [runs[i][1] - 2 for i in sorted(cut)]


def _runs(
    rows: tuple[ChartRow, ...], shown: dict[int, str], all_rows: bool
) -> list[tuple[ChartRow, ...]]:
    """Rows in groups that look the same two by two; the current row stands alone."""
    if all_rows:
        return [(row,) for row in rows]
    groups: list[list[ChartRow]] = [[rows[0]]]
    for one, other in pairwise(rows):
        same = (
            not (one.current or other.current)
            and shown[one.step] == shown[other.step]
            and one.label.isdigit()
            and other.label.isdigit()
        )
        if same:
            groups[-1].append(other)
        else:
            groups.append([other])
    return [tuple(group) for group in groups]
