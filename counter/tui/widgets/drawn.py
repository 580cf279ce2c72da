"""What is drawn by us, row by row.

A row done changes most of the large letters on the screen. Textual's way from text to cells finds
words and links in them, wraps them, and asks the style sheet for each row; here the rows are ready,
so they become strips at once, and the same strips are shown until something changes. What is likely
to be shown next can become strips before it is wanted.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Self

from rich.segment import Segment
from rich.style import Style as RichStyle
from textual.content import Content
from textual.geometry import Region, Size
from textual.reactive import reactive
from textual.strip import Strip
from textual.style import Style
from textual.widget import Widget

Row = tuple[tuple[str, str], ...]
"""Stretches of one row of cells, each with its style as Textual writes it: `bold $accent`."""
Rows = tuple[Row, ...]


def one(text: str, style: str = "") -> Row:
    """A row in one style."""
    return ((text, style),)


def as_content(rows: Rows) -> Content:
    """The rows as text that can be laid out."""
    return Content("\n").join(Content.assemble(*row) for row in rows)


class Drawn(Widget):
    """A widget that is its rows: no border, no padding, nothing in it to tap."""

    auto_links = reactive(False)

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._strips: list[Strip] = []
        self._drawn_for: object = None
        self._ready: dict[tuple[Rows, Size, Style], list[Strip]] = {}

    def rows(self) -> Rows:
        """What stands in it, from the top; what is too wide or too much is cut."""
        raise NotImplementedError

    def render(self) -> Content:
        """The same, for whoever asks for its text."""
        return as_content(self.rows())

    def refresh(self, *regions: Region, **how: bool) -> Self:
        """What it shows has changed."""
        self._drawn_for = None
        return super().refresh(*regions, **how)

    def render_lines(self, crop: Region) -> list[Strip]:
        """The strips of the rows within `crop`."""
        seen = (self.size, self.visual_style)
        if self._drawn_for != seen:
            self._strips, self._drawn_for = self._drawn(), seen
        strips = self._strips[crop.y : crop.bottom]
        if crop.column_span != (0, self.size.width):
            return [strip.crop(*crop.column_span) for strip in strips]
        return strips

    def make_ready(self, pictures: Iterable[tuple[Rows, Size]]) -> None:
        """Rows that may be shown next, each with the size in which they would be."""
        style = self.visual_style
        wanted = [(rows, size, style) for rows, size in pictures]
        self._ready = {one: self._ready.get(one) or self._strips_of(*one) for one in wanted}

    def _drawn(self) -> list[Strip]:
        wanted = self.rows(), self.size, self.visual_style
        return self._ready.get(wanted) or self._strips_of(*wanted)

    def _strips_of(self, rows: Rows, size: Size, style: Style) -> list[Strip]:
        width, height = size
        styles: dict[str, RichStyle] = {"": style.rich_style}
        made: dict[Row, Strip] = {}  # a letter that is enlarged has the same row several times
        for row in rows[:height]:
            if row in made:
                continue
            for _, kind in row:
                if kind not in styles:
                    styles[kind] = (style + Style.parse(kind)).rich_style
            stretches = Strip([Segment(text, styles[kind]) for text, kind in row if text])
            made[row] = stretches.adjust_cell_length(width, styles[""])
        made.setdefault((), Strip.blank(width, styles[""]))
        _, ground = self.background_colors
        for door in self.get_line_filters():
            made = {row: strip.apply_filter(door, ground) for row, strip in made.items()}
        return [made[row] for row in rows[:height]] + [made[()]] * (height - len(rows))
