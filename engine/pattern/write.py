"""Writes row scripts out as a pattern by size, in the notation that `engine.pattern` reads.

Each size's script becomes lines first: what repeats is drawn together ("Rows 3–14", "Rep rows 1–2
4 times more"), and the longest stretch of a row is said by where it ends ("k to last 3 sts"), so
that sizes whose rows are alike have the same words and differ in numbers only. Then the sizes'
lines are laid side by side: lines with the same words become one with numbers by size, `24 (28,
32)`; a line that only some sizes have says for which. What is read back is the script that was
written, step for step; `tests/pattern/test_write.py` holds it to that.
"""

from collections.abc import Iterator, Sequence

from engine.base.numbers import CM_PER_INCH
from engine.base.refusal import Refusal
from engine.pattern.front import front_of, lines_of_front
from engine.pattern.writing.all_sizes import aligned, in_all_sizes, written
from engine.pattern.writing.size_lines import lines_of
from engine.pattern.writing.words import Line, num
from engine.script.wording import loop_word
from models.gauge import Gauge
from models.script import Craft, RowScript


def _gauge(gauge: Gauge, craft: Craft) -> str:
    """Over 10 cm, or over 4 in where that comes out in short numbers."""
    word = loop_word(craft)
    across, up = gauge.loops_per_10cm, gauge.rows_per_10cm
    if len(repr(across)) > 6 or len(repr(up)) > 6:
        four = 4 * CM_PER_INCH
        a, b = round(across * four / 10, 2), round(up * four / 10, 2)
        if a * 10 / four == across and b * 10 / four == up:
            return f"Gauge: {a:g} {word} and {b:g} rows = 4 in"
    return f"Gauge: {num(across).said} {word} and {num(up).said} rows = 10 cm"


def _headings(scripts: Sequence[RowScript]) -> Iterator[str]:
    first = scripts[0]
    yield f"Title: {first.title}"
    if first.design:
        yield f"Design: {first.design}"
    yield f"Craft: {first.craft.value}"
    sizes = [script.size for script in scripts]
    if len(sizes) > 1:
        yield f"Sizes: {sizes[0]} ({', '.join(sizes[1:])})"
    elif sizes[0]:
        yield f"Sizes: {sizes[0]}"
    yield _gauge(first.gauge, first.craft)
    for name in first.finished_cm:
        values = [Line((num(script.finished_cm[name]),)) for script in scripts]
        yield f"Finished {name}: {in_all_sizes(values)} cm"
    for group in first.level:
        yield f"Level: {', '.join(group)}"
    for pair in first.mirrored:
        yield f"Mirrored: {', '.join(pair)}"


def _check_alike(scripts: Sequence[RowScript]) -> None:
    if not scripts:
        raise Refusal("There is no size to write: name one at least.")
    sizes = [script.size for script in scripts]
    if len(set(sizes)) < len(sizes):
        raise Refusal(f"A size is named twice: give each of {', '.join(sizes)} once.")
    first = scripts[0]
    for script in scripts[1:]:
        alike = ("title", "design", "craft", "gauge", "hand", "level", "mirrored")
        for name in alike:
            if getattr(script, name) != getattr(first, name):
                raise Refusal(
                    f"Sizes {first.size} and {script.size} differ in their {name}, so they are "
                    "two patterns: write them one by one."
                )
        if list(script.finished_cm) != list(first.finished_cm):
            raise Refusal("These sizes have other measurements: write them one by one.")


def row_lines(scripts: Sequence[RowScript]) -> list[str]:
    """The lines of the parts, in the written notation, numbers by size; an empty one before each.

    Raises Refusal for scripts that are not sizes of one pattern.
    """
    _check_alike(scripts)
    sizes = [script.size for script in scripts]
    rows: list[str] = []
    for entry in aligned([lines_of(script) for script in scripts]):
        for line in written(entry, sizes):
            if line.startswith("Part: "):
                rows.append("")
            rows.append(line)
    return rows


def write(scripts: Sequence[RowScript]) -> str:
    """The pattern of these scripts, one a size, in the written notation.

    Raises Refusal for scripts that are not sizes of one pattern.
    """
    rows = row_lines(scripts)
    front = lines_of_front(front_of(scripts), scripts[0].finished_cm, rows)
    return "\n".join((*_headings(scripts), "", *front, *rows)) + "\n"
