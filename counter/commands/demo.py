"""`spokenrow demo`: a make part-way, to look at and to play with; nothing of it is kept."""

import argparse
import sys
import tempfile
from pathlib import Path

from counter.arguments import add_ears_arguments, check_attention, fitted
from counter.commands.hear import as_line
from counter.demo import NAME, demo_making
from counter.hearing import hear
from counter.places import open_store
from counter.recordings import demo_recording
from engine import answers
from engine.ears import wav
from engine.ears.denoise import best_cleaner
from engine.ears.guard import Sensitivity
from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser


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
    check_attention(arguments)
    if not (sys.stdout.isatty() and sys.stdin.isatty()):
        return _as_lines(arguments)
    from counter.commands.app import open_app

    with tempfile.TemporaryDirectory(prefix="spokenrow-demo-") as folder:
        store = open_store(Path(folder))
        making = demo_making()
        store.create(NAME, making.plan)
        store.append(NAME, making.events)
        store.close()
        sound = demo_recording() if arguments.hear else None
        return open_app(
            data=Path(folder),
            make=NAME,
            model=arguments.model,
            # The demo's folder is its own, and what was rehearsed is not in it.
            sensitivity=fitted(arguments, Sensitivity(arguments.sensitivity)),
            play=sound,
            attention=arguments.attention,
            person=arguments.person,
        )


def _as_lines(arguments: argparse.Namespace) -> int:
    making = demo_making()
    began = making.state.last_at or 0.0
    print(f"{making.state.script.title}: {answers.where(making.state)}")
    recogniser = Recogniser(arguments.model)
    listener = Listener(
        recogniser,
        lambda: making.situation(began + listener.now_s),
        sensitivity=fitted(arguments, Sensitivity(arguments.sensitivity)),
        attention=arguments.attention,
        cleaner=best_cleaner(),
    )
    try:
        for heard in hear(wav.blocks(demo_recording()), listener):
            outcome = making.heard(heard, began + listener.now_s)
            print(as_line(heard, outcome, making), flush=True)
    finally:
        recogniser.close()
    step = making.state.step
    print(f"Now: {step.text if step else 'The make is done.'}")
    return 0
