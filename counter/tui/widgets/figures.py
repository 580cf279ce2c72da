"""Numbers to be read from afar, each with its caption."""

from typing import NamedTuple

from textual.content import Content
from textual.reactive import reactive

from counter.tui.widgets.drawn import Drawn
from counter.tui.widgets.lettering import arrange
from counter.tui.widgets.words import told
from engine.script.headline import Headline


class Figure(NamedTuple):
    """Large figures above a quiet caption."""

    figures: str
    caption: str


class Figures(Drawn):
    """Side by side, each as large as its share of the widget. One widget: it changes as one."""

    shown: reactive[tuple[Figure, ...]] = reactive((), layout=False)

    def render(self) -> Content:
        """The figures, and under each its caption."""
        (width, height), count = self.size, len(self.shown)
        if not count or height < 1:
            return Content("")
        edges = [width * place // count for place in range(count + 1)]
        columns = [
            _column(figure, right - left, height)
            for figure, left, right in zip(self.shown, edges, edges[1:], strict=False)
        ]
        return Content("\n").join(
            Content("").join(column[row] for column in columns) for row in range(height)
        )


def _column(figure: Figure, width: int, height: int) -> list[Content]:
    said = Headline(words=figure.figures, short=figure.figures)
    lines = arrange((said,), width, height - 1).split("\n")[: height - 1]
    lines += [Content("")] * (height - 1 - len(lines))
    lines.append(told(Content.styled(figure.caption, "$quiet")))
    return [line.truncate(width, ellipsis=True, pad=True) for line in lines]
