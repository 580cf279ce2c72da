"""The ears that a command asks for, by its arguments and the settings."""

import argparse
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from counter.cli.arguments import asked_by
from counter.shared.outward import warn
from counter.shared.places import data_folder
from counter.shared.settings import load, settings_path
from counter.sound import profiles
from engine.base.refusal import Refusal
from engine.ears.denoise import cleaner_for
from engine.ears.fluency import model_for
from engine.ears.listener import Listener
from engine.ears.trial import open_recogniser
from models.command import Situation


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
            warn(told)
    recogniser = open_recogniser(model.folder, model.language, data)
    listener = Listener(
        recogniser,
        lambda: situation(listener.now_s),
        language=model.language,
        sensitivity=profiles.bounds_for(
            found,
            wanted.person,
            wanted.microphone,
            wanted.sensitivity,
            wanted.language,
            mine=wanted.mine,
        ),
        attention=call,
        cleaner=cleaner_for(model.folder),
    )
    try:
        yield listener
    finally:
        recogniser.close()
