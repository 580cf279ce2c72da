"""A number to be read from afar, with its caption."""

from textual.app import ComposeResult
from textual.containers import Vertical

from counter.tui.widgets.lettering import Lettering
from counter.tui.widgets.words import Text
from engine.script.headline import Big, Headline


class Figure(Vertical):
    """Large figures above a quiet caption."""

    def compose(self) -> ComposeResult:
        """The two."""
        yield Lettering()
        yield Text(classes="caption")

    def show(self, figures: str, caption: str) -> None:
        """Set both."""
        said = Headline(words=figures, short=figures)
        self.query_one(Lettering).big = Big(row=(said,) if figures else ())
        self.query_one(".caption", Text).update(caption)
