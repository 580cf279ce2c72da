"""Recorded sound through the same ears as the microphone, as fast as it can be computed."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from engine.ears import wav
from engine.ears.decoding import Cleaner, Decoder
from engine.ears.guard import Sensitivity
from engine.ears.listener import Listener
from models.command import Heard, Situation

_PIECE = 640
"""Bytes at a time, 20 ms: what an utterance changed must hold before the next is heard."""


def hear_file(
    path: Path,
    recogniser: Decoder,
    situation: Callable[[], Situation] = Situation,
    *,
    language: str = "en",
    sensitivity: Sensitivity = Sensitivity.EVEN,
    attention: bool = False,
    cleaner: Cleaner | None = None,
) -> Iterator[Heard]:
    """What the ears make of a recording, one answer per utterance, as it is decided.

    Act on each answer before asking for the next: `situation` is asked in between. Raises
    engine.ears.wav.AudioError for a recording that cannot be used.
    """
    listener = Listener(
        recogniser,
        situation,
        language=language,
        sensitivity=sensitivity,
        attention=attention,
        cleaner=cleaner,
    )
    return hear(wav.blocks(path), listener)


def hear(sound: Iterable[bytes], listener: Listener) -> Iterator[Heard]:
    """The answers of `listener` to pieces of 16 kHz mono 16-bit sound, to their end."""
    for block in sound:
        for start in range(0, len(block), _PIECE):
            yield from listener.feed(block[start : start + _PIECE])
    yield from listener.end()
