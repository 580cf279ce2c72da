"""Typed lines and heard words as one stream, for a command that lives without a screen."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterable, Iterator

from counter.sound.listening import Ears, EarsHeard, EarsLack, EarsNote, EarsState, News
from counter.sound.voice import Voice
from models.command import Heard, Situation

_LOOK_S = 0.5
"""Seconds between two looks at whether the ears still hear."""


class Told(str):
    """A sentence about the ears: not typed, not heard."""


Item = str | Heard | Told | EarsNote
"""A line, an utterance, what is to be told, a note that was spoken."""


class Live:
    """A microphone, a loudspeaker and a keyboard."""

    def __init__(self, ears: Ears, voice: Voice, situation: Callable[[], Situation]) -> None:
        """`situation` is asked in the ears' thread: it may only read."""
        self.ears, self.voice = ears, voice
        self._situation = situation
        self._items: queue.Queue[Item | None] = queue.Queue()
        self.tick: Callable[[], None] = lambda: None
        """Called twice a second, in the thread of `items`."""
        self._told = ""
        self._hears = False

    def items(self, lines: Iterable[str], *, until_they_end: bool) -> Iterator[Item]:
        """Each line and each utterance as it comes; what the ears lack comes as `Told`.

        Ends with the lines, or for ever goes on without them.
        """
        threading.Thread(
            target=self._read, args=(lines, until_they_end), name="lines", daemon=True
        ).start()
        self.voice.busy = lambda: self.ears.talking
        self.voice.open()
        self.ears.open(self._post, self._situation, self.voice.without_ours)
        try:
            while True:
                try:
                    item = self._items.get(timeout=_LOOK_S)
                except queue.Empty:
                    self.tick()
                    continue
                if item is None:
                    return
                yield item
        finally:
            self.ears.close()
            self.voice.close()

    def _read(self, lines: Iterable[str], until_they_end: bool) -> None:
        for line in lines:
            self._items.put(line)
        if until_they_end:
            self._items.put(None)

    def _post(self, news: News) -> None:
        """Called from the ears' thread."""
        match news:
            case EarsHeard(heard):
                self._items.put(heard)
            case EarsLack(told):
                self._items.put(Told(told))
            case EarsState():
                self._look()
            case EarsNote():
                self._items.put(news)

    def _look(self) -> None:
        trouble = self.ears.trouble
        if trouble != self._told:
            self._told = trouble
            self._items.put(Told(trouble or "It hears you again."))
        if self.ears.hearing and not self._hears:
            self._hears = True
            self.voice.hello()
            self._items.put(Told("It is listening."))
