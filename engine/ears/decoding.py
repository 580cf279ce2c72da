"""What the listener asks of a recogniser and of a noise remover: the shapes, and nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from models.command import Context


class TimedWord(Protocol):
    """A word with its place in the utterance, seconds."""

    @property
    def word(self) -> str:
        """The word."""

    @property
    def start_s(self) -> float:
        """Where it begins."""

    @property
    def end_s(self) -> float:
        """Where it ends."""

    @property
    def confidence(self) -> float:
        """0 to 1."""


class Answer(Protocol):
    """What a decoder answers at the end of an utterance."""

    @property
    def text(self) -> str:
        """The words, "" for none, "[unk]" for speech that is none of them."""

    @property
    def confidence(self) -> float:
        """0 to 1, of the least sure word."""

    @property
    def words(self) -> Sequence[TimedWord]:
        """The words, each with its times; empty where there are none."""


class Decoder(Protocol):
    """A recogniser, as the listener needs it."""

    def start(self, context: Context) -> None:
        """Begins an utterance in which these words are expected."""

    def feed(self, pcm: bytes) -> str:
        """Takes 16 kHz mono 16-bit sound and gives the text so far."""

    def finish(self) -> Answer:
        """Ends the utterance."""


class Cleaner(Protocol):
    """Takes noise out of speech; run only while somebody speaks."""

    def start(self, room: bytes) -> None:
        """Begins anew; `room` is the quiet just before, to learn the noise from."""

    def clean(self, pcm: bytes) -> bytes:
        """The cleaned sound, possibly some frames late."""

    def flush(self) -> bytes:
        """What is still inside."""
