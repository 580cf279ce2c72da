"""Numbers to be read from afar, each with its caption."""

from functools import lru_cache
from itertools import chain
from typing import NamedTuple

from rich.cells import cell_len
from textual.reactive import reactive

from counter.tui.widgets.drawn import Drawn, Row, Rows, one
from counter.tui.widgets.lettering import arranged
from counter.tui.widgets.words import told
from engine.script.headline import Big, Headline

_LEAST = 3
"""Rows below which there is room for no number."""


class Figure(NamedTuple):
    """Large figures above a quiet caption."""

    figures: str
    caption: str


class Figures(Drawn):
    """Side by side, each as large as its share of the widget. One widget: it changes as one."""

    shown: reactive[tuple[Figure, ...]] = reactive((), layout=False)

    def rows(self) -> Rows:
        """An empty row, the figures, and under each its caption."""
        return figured(self.shown, *self.size)


@lru_cache(maxsize=16)
def figured(shown: tuple[Figure, ...], width: int, height: int) -> Rows:
    """The same in so many cells; none where there is no room for a number."""
    if not shown or height < _LEAST:
        return ()
    edges = [width * place // len(shown) for place in range(len(shown) + 1)]
    columns = [
        _column(figure, right - left, height - 1)
        for figure, left, right in zip(shown, edges, edges[1:], strict=False)
    ]
    return ((), *(tuple(chain(*rows)) for rows in zip(*columns, strict=True)))


def _column(figure: Figure, width: int, height: int) -> Rows:
    """As many rows as there is height, all as wide as the column."""
    said = Headline(words=figure.figures, short=figure.figures)
    letters = arranged(Big(row=(said,)), width, height - 1)[: height - 1]
    letters += ((),) * (height - 1 - len(letters))
    caption = told(figure.caption).truncate(width, ellipsis=True).plain
    return tuple(_as_wide(row, width) for row in (*letters, one(caption, "$quiet")))


def _as_wide(row: Row, width: int) -> Row:
    return (*row, (" " * (width - sum(cell_len(text) for text, _ in row)), ""))
