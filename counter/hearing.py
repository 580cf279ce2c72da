"""Recorded sound through the same ears as the microphone, as fast as it can be computed."""

import argparse
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from counter import profiles
from counter.arguments import asked_by
from counter.places import data_folder
from counter.settings import load, settings_path
from engine.ears import wav
from engine.ears.decoding import Cleaner, Decoder
from engine.ears.denoise import cleaner_for
from engine.ears.guard import Sensitivity, Situation
from engine.ears.listener import Listener
from engine.ears.trial import open_recogniser
from engine.fluency import model_for
from engine.refusal import Refusal
from models.command import Heard

_PIECE = 640
"""Bytes at a time, 20 ms: what an utterance changed must hold before the next is heard."""


@contextmanager
def ears_of(
    arguments: argparse.Namespace, situation: Callable[[float], Situation]
) -> Iterator[Listener]:
    """Ears as the arguments want them, and where those say nothing, as the settings do.

    `situation` is given the seconds of sound heard so far. What the ears lack is told on standard
    error. Raises Refusal where they cannot hear, or cannot do what the arguments ask.
    """
    path = settings_path(arguments.data)
    settings, unread = load(path)
    wanted = asked_by(arguments).over(settings)
    data = data_folder(arguments.data)
    model = model_for(wanted.language, data, arguments.model)
    if arguments.attention and model.cannot_call:
        raise Refusal(model.cannot_call)
    call = wanted.attention and not model.cannot_call
    found, trouble = profiles.load(profiles.profiles_path(path))
    for told in (unread, trouble, model.told, model.cannot_call if wanted.attention else ""):
        if told:
            print(told, file=sys.stderr)
    recogniser = open_recogniser(model.folder, model.language, data)
    listener = Listener(
        recogniser,
        lambda: situation(listener.now_s),
        language=model.language,
        sensitivity=profiles.bounds_for(
            found, wanted.person, wanted.microphone, wanted.sensitivity, wanted.language
        ),
        attention=call,
        cleaner=cleaner_for(model.folder),
    )
    try:
        yield listener
    finally:
        recogniser.close()


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
