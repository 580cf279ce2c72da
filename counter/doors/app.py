"""`spokenrow`: the app. Every other way into it goes through `open_app`."""

import argparse
import os
import sys
from pathlib import Path

from counter.cli.arguments import add_ears_arguments, asked_by
from counter.shared import memory
from counter.shared.places import data_folder, open_store
from counter.shared.settings import Asked, load, settings_path
from counter.sound.descriptors import keep_pipe_clean, keep_terminal_clean
from engine.base.heap import uncollected
from engine.base.refusal import Refusal

_NO_TERMINAL = (
    "The app needs a terminal to draw on: run it in one, or use 'spokenrow plain NAME' for lines."
)


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command; it is what runs when none is named."""
    parser = subparsers.add_parser("app", description="Open the app.")
    parser.add_argument("--make", metavar="NAME", help="open this make at once")
    parser.add_argument("--quiet", action="store_true", help="no tones and no voice")
    parser.add_argument("--no-ears", action="store_true", help="keyboard only")
    parser.add_argument("--microphone", metavar="NAME", help="a microphone, or a part of its name")
    add_ears_arguments(parser)
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Open the app and stay until it is left."""
    check_attention(arguments)
    return open_app(
        data=arguments.data,
        make=arguments.make,
        model=arguments.model,
        asked=asked_by(arguments),
        quiet=arguments.quiet,
        no_ears=arguments.no_ears,
    )


def check_attention(arguments: argparse.Namespace) -> None:
    """Raises Refusal where the arguments ask for an attention word that cannot be heard.

    Before the screen is taken over; what the settings ask for and is not to be had, the app tells.
    """
    if not arguments.attention:
        return
    from engine.ears.fluency import model_for
    from engine.words.grammar import no_attention

    wanted = asked_by(arguments).over(load(settings_path(arguments.data))[0])
    trouble = (
        no_attention(wanted.language)
        or model_for(wanted.language, data_folder(arguments.data), arguments.model).cannot_call
    )
    if trouble:
        raise Refusal(trouble)


def open_app(
    *,
    data: Path | None,
    voices: Path | None = None,
    make: str | None = None,
    model: Path | None = None,
    asked: Asked | None = None,
    play: Path | None = None,
    quiet: bool = False,
    no_ears: bool = False,
) -> int:
    """Run the app on the makes of a folder; gives the exit code.

    Voice models are looked for in `voices`, or else in that folder, unless `model` names one.
    `play` is a recording that is heard instead of a microphone, at the pace of speech. What is
    `asked` goes before the settings. Raises Refusal.
    """
    with uncollected():  # what is loaded stays: to look whether it may go costs time at the start
        from counter.sound.opening import ears_from
        from counter.sound.voice import Voice
        from counter.tui.app import SpokenrowApp

        memory.keep()

    if not (served() or (sys.stdout.isatty() and sys.stdin.isatty())):
        raise Refusal(_NO_TERMINAL)
    store = open_store(data)
    try:
        if make is not None:
            store.load(make)  # refused before the screen is taken over
        if served():
            from counter.web.orphan import end_with_parent

            end_with_parent()
            keep_pipe_clean()
        else:
            keep_terminal_clean()
        voice = Voice(quiet=quiet)
        asked = asked or Asked()
        microphone = asked.over(load(settings_path(data))[0]).microphone or None
        where = data_folder(voices or data)
        app = SpokenrowApp(
            store,
            settings_path(data),
            make=make,
            ears=None if no_ears else ears_from(where, model, microphone, play, voice),
            asked=asked,
            voice=voice,
        )
        code = app.run()
    finally:
        store.close()
    return code if code is not None else (app.return_code or 0)


def served() -> bool:
    """Whether a browser shows the app: then it speaks a protocol on its pipes, and to no terminal.

    `textual-serve` says so by the driver that it names.
    """
    return os.environ.get("TEXTUAL_DRIVER", "").startswith("textual.drivers.web_driver")
