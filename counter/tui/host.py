"""What a screen may ask of the app. Screens know this and no more; the app is made of screens."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable, Sequence

from rich.console import Console
from textual.app import App
from textual.filter import LineFilter
from textual.message import Message
from textual.notifications import SeverityLevel

from counter.shared.settings import Readback, Settings
from counter.shared.work import Work
from counter.sound.listening import Ears, News
from counter.sound.voice import Voice
from counter.tui.widgets.words import Unspoken
from engine.keep.store import Store
from models.command import Command, Heard
from models.state import Reply
from models.text import legible, legible_lines

_UNSPOKEN = Unspoken()


class FromEars(Message):
    """The ears' news, brought into the app's own thread."""

    def __init__(self, news: News) -> None:
        super().__init__()
        self.news = news


class Host(App[int]):
    """The app as its screens see it, and what holds for every screen."""

    clock: Callable[[], float]
    """POSIX seconds."""
    store: Store
    settings: Settings
    """As kept; `wanted` is what counts."""
    voice: Voice
    ears: Ears | None
    """What hears; None where nothing does."""

    def __init__(self) -> None:
        super().__init__()
        # A report of a mistake of ours is plain text, to a terminal as well.
        self.error_console = Console(
            markup=False, highlight=False, stderr=True, force_terminal=False
        )

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Textual's, and behind them the screen's last door."""
        return [*super().get_line_filters(), _UNSPOKEN]

    def notify(
        self,
        message: str,
        *,
        title: str = "",
        severity: SeverityLevel = "information",
        timeout: float | None = None,
        markup: bool = False,
    ) -> None:
        """Show a notice. It is text, whatever `markup` asks."""
        super().notify(
            legible_lines(message),
            title=legible(title),
            severity=severity,
            timeout=timeout,
            markup=False,
        )

    @property
    @abstractmethod
    def wanted(self) -> Settings:
        """The settings, with what the command line asks in their place."""

    @property
    @abstractmethod
    def troubles(self) -> str:
        """What is to be told once, where the maker starts."""

    @property
    @abstractmethod
    def hearing(self) -> bool:
        """Whether a word said now would be heard and could move the make."""

    @property
    @abstractmethod
    def awake(self) -> bool:
        """Whether she has not closed the ears."""

    @property
    @abstractmethod
    def has_ears(self) -> bool:
        """Whether anything is there that could hear."""

    @property
    @abstractmethod
    def ears_failed(self) -> bool:
        """There should be ears, and there are none: they can be opened again."""

    @abstractmethod
    def ears_line(self, *, listening: bool) -> str:
        """The microphone in a few words."""

    @abstractmethod
    def open_ears(self) -> None:
        """Start to listen, or try again."""

    @abstractmethod
    def answer(self, outcome: Reply, command: Command | None, heard: Heard | None = None) -> None:
        """Tone and voice for an outcome, of an utterance where it was one."""

    @abstractmethod
    def open_make(self, work: Work) -> None:
        """Lay a make on the table."""

    @abstractmethod
    def open_named(self, name: str, *, take_over: bool = False) -> None:
        """Lay the make of that name on the table."""

    @abstractmethod
    def to_shelf(self) -> None:
        """Back to the shelf."""

    @abstractmethod
    def read_out(self, readback: Readback) -> None:
        """Set how much is read out, and keep it."""

    @property
    @abstractmethod
    def read_before(self) -> Readback:
        """How much was read out before there was silence."""

    @abstractmethod
    def open_settings(self) -> None:
        """The page of settings."""
