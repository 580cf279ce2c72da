"""Every widget that shows text. Text is text here: no brackets in it are markup, no code is obeyed.

Screens take their lines, lists and fields from this module and none from Textual itself (a test
holds them to it), so that what a pattern, a file or a device says can only ever be read.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar, cast

from rich.cells import cell_len
from rich.segment import Segment
from rich.text import Text as RichText
from textual import events
from textual.color import Color
from textual.content import Content
from textual.css.styles import RulesMap
from textual.filter import LineFilter
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Collapsible, Input, OptionList, Select, Static, TextArea
from textual.widgets.option_list import Option

from models.text import legible, legible_lines

T = TypeVar("T")


def told(text: str | Content) -> Content:
    """Text as content: styled by us alone, and with a visible sign for what cannot be seen."""
    if isinstance(text, str):
        return Content(legible_lines(text))
    plain = legible_lines(text.plain)
    return text if plain == text.plain else Content(plain, list(text.spans))


class Text(Static):
    """Text, a line or several."""

    auto_links = reactive(False)
    """Whether what can be tapped in it looks as the style sheet says: to look for it takes time."""

    def __init__(
        self, text: str | Content = "", *, id: str | None = None, classes: str | None = None
    ) -> None:
        super().__init__(told(text), markup=False, id=id, classes=classes)

    def update(self, content: object = "", *, layout: bool = True) -> None:
        """Show another text. The screen is laid out anew only where it takes another room."""
        assert isinstance(content, str | Content)
        before, now = self.content, told(content)
        assert isinstance(before, Content)
        if not now.is_same(before):
            super().update(now, layout=layout and self._moves_others(before, now))

    def _moves_others(self, before: Content, now: Content) -> bool:
        """Whether what stands around it may have to make room, or get some."""
        styles, across = self.styles, self.content_size.width
        if not self.display:
            return False  # when it is shown again, all is laid out
        if styles.width is not None and styles.width.is_auto:
            return before.cell_length != now.cell_length
        if styles.height is not None and not styles.height.is_auto:
            return False
        return not across or self._high(before) != self._high(now)

    def high_with(self, text: str) -> int:
        """Rows that it takes with that text, in the room it has now; its least height at least, and
        no more than that where it has no room yet.
        """
        least = self.styles.min_height
        wanted = self._high(told(text)) if self.content_size.width else 0
        return max(wanted, 0 if least is None else int(least.value))

    def _high(self, content: Content) -> int:
        rules = cast("RulesMap", self.styles)  # as Textual itself gives them
        return content.get_height(rules, self.content_size.width)


class Choice(Option):
    """One line, or more, to choose."""

    def __init__(
        self, text: str | Content, id: str | None = None, *, heading: bool = False
    ) -> None:
        """A `heading` stands between the others and cannot be chosen."""
        super().__init__(told(text), id=id, disabled=heading)


class Choices(OptionList):
    """Lines to choose from."""

    def __init__(self, *choices: Choice, id: str | None = None) -> None:
        super().__init__(*choices, id=id, markup=False)

    def say(self, choice: str, text: str | Content) -> None:
        """Another text for the choice of that id."""
        self.replace_option_prompt(choice, told(text))


class Pick(Select[T]):
    """One of a few, unfolded when it is asked for."""

    def __init__(self, options: Iterable[tuple[str, T]], value: T, id: str | None = None) -> None:
        # Rich text: Textual reads a plain string as markup, and finds letters in nothing else.
        shown = [(RichText(legible(text)), value) for text, value in options]
        super().__init__(shown, value=value, allow_blank=False, compact=True, id=id)


class Field(Input):
    """A line to type in."""

    def __init__(
        self,
        value: str = "",
        *,
        placeholder: str = "",
        max_length: int = 0,
        id: str | None = None,
    ) -> None:
        super().__init__(
            value,
            placeholder=legible(placeholder),
            max_length=max_length,
            compact=True,
            id=id,
        )

    def validate_value(self, value: str) -> str:
        """What is typed, pasted or stands there already. A sign for a letter: the cursor stays."""
        return legible(value)

    def _on_paste(self, event: events.Paste) -> None:
        """Several lines become one: the first alone would be something else than was pasted."""
        self.replace(" ".join(event.text.split()), *self.selection)
        event.prevent_default()
        event.stop()


class Area(TextArea):
    """Several lines to type or to paste."""

    class NothingCopied(Message):
        """Ctrl+V came as a key, and nothing was copied in the app: the terminal itself pastes."""

    def action_paste(self) -> None:
        """What was copied in the app."""
        if self.app.clipboard:
            super().action_paste()
        else:
            self.post_message(self.NothingCopied())

    def __init__(self, *, id: str | None = None) -> None:
        # What is shown of a line is made legible at the screen's last door; what is kept stays.
        super().__init__(soft_wrap=True, show_line_numbers=False, compact=True, id=id)


class Fold(Collapsible):
    """Widgets under a heading that unfolds."""

    def __init__(self, heading: str) -> None:
        super().__init__(title=cast("str", told(heading)))


class Unspoken(LineFilter):
    """The last door of the screen: what no widget above made legible does not leave either."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The same cells without a code in them."""
        if all(legible(segment.text) == segment.text for segment in segments):
            return segments
        return [
            segment if segment.control else Segment(_cells(segment.text), segment.style)
            for segment in segments
        ]


def _cells(text: str) -> str:
    """As wide as before: what took no cell gets no sign."""
    shown = legible(text)
    if shown == text:
        return text
    return "".join(
        sign if sign == letter or cell_len(letter) else ""
        for letter, sign in zip(text, shown, strict=True)
    )
