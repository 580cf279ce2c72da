"""`spokenrow demo`: a make part-way, to look at and to play with; nothing of it is kept."""

import argparse
import sys
import tempfile
from pathlib import Path

from counter.cli.arguments import add_ears_arguments, asked_by
from counter.cli.commands.hear import as_line
from counter.cli.ears import ears_of
from counter.shared import settings
from counter.shared.demo import NAME, RECORDED_IN, demo_making
from counter.shared.outward import tell
from counter.shared.places import data_folder, open_store
from counter.shared.recordings import demo_recording
from counter.sound import profiles
from counter.sound.hearing import hear
from engine.base.refusal import Refusal
from engine.ears import wav
from engine.make import answers
from engine.script import wording
from engine.words.vocabulary import language_name


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("demo", help="a make part-way, to try the words and keys on")
    parser.add_argument(
        "--hear", action="store_true", help="let a recorded voice move it, with no microphone"
    )
    add_ears_arguments(parser)
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Open the app on the demo make; where nobody watches, print the same run as lines."""
    watched = sys.stdout.isatty() and sys.stdin.isatty()
    if arguments.hear or not watched:
        if arguments.language not in {None, RECORDED_IN}:
            raise Refusal(
                f"The demo's recording speaks {language_name(RECORDED_IN)}: leave --language away, "
                "or leave --hear away and speak yourself."
            )
        arguments.language = RECORDED_IN
    if not watched:
        return _as_lines(arguments)
    from counter.doors.app import check_attention, open_app

    check_attention(arguments)
    with tempfile.TemporaryDirectory(prefix="spokenrow-demo-") as folder:
        _take_along(settings.settings_path(arguments.data), settings.settings_path(Path(folder)))
        store = open_store(Path(folder))
        making = demo_making()
        store.create(NAME, making.begun)
        store.append(NAME, making.events)
        store.close()
        return open_app(
            data=Path(folder),
            voices=data_folder(arguments.data),
            make=NAME,
            model=arguments.model,
            asked=asked_by(arguments),
            play=demo_recording() if arguments.hear else None,
        )


def _take_along(own: Path, demo: Path) -> None:
    """The maker's settings and what she rehearsed, for a demo that keeps nothing.

    A file that cannot be read or copied costs its content only: the app says so of its own.
    """
    settings.save(demo, settings.load(own)[0])
    profiles.save(profiles.profiles_path(demo), profiles.load(profiles.profiles_path(own))[0])


def _as_lines(arguments: argparse.Namespace) -> int:
    making = demo_making()
    began = making.state.last_at or 0.0
    tell(f"{making.state.script.title}: {answers.where(making.state)}")
    with ears_of(arguments, lambda now_s: making.situation(began + now_s)) as listener:
        for heard in hear(wav.blocks(demo_recording()), listener):
            outcome = making.heard(heard, began + listener.now_s)
            tell(as_line(heard, outcome, making), flush=True)
    step = making.state.step
    tell(f"Now: {wording.text(step, making.state.plan.craft) if step else 'The make is done.'}")
    return 0
