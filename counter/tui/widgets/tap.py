"""A line that does something where it is tapped or clicked."""

from textual.content import Content

from counter.tui.widgets.words import Text


class Tap(Text):
    """Text, and an action for a tap on it."""

    DEFAULT_CSS = "Tap:hover { background: $boost; }"

    def __init__(self, text: str | Content, does: str) -> None:
        """`does` is an action as Textual writes it: `screen.dismiss`."""
        super().__init__(text)
        self._does = does

    async def on_click(self) -> None:
        """A tap."""
        await self.app.run_action(self._does, default_namespace=self)
