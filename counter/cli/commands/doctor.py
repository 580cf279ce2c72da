"""`spokenrow doctor`: what works here, each fault with its remedy."""

import argparse
import contextlib
import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from counter.shared.outward import raw, tell
from counter.shared.places import data_folder, open_store
from counter.shared.settings import load, settings_path
from counter.sound.descriptors import REPAIR
from engine.base.refusal import Refusal
from engine.words.vocabulary import language_name

SMALLEST = (40, 15)
"""Columns and lines below which the screen cannot show a row."""


class Finding(NamedTuple):
    """One thing looked at."""

    what: str
    good: bool
    said: str


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("doctor", help="what works on this machine, with remedies")
    parser.add_argument("--model", type=Path, metavar="DIR", help="look at this voice model")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the findings. A fault is told, not punished: the exit code is 0."""
    if sys.stdout.isatty():
        raw(sys.stdout).write(REPAIR)
    for finding in findings(arguments.data, arguments.model):
        tell(f"{'ok ' if finding.good else 'NO '} {finding.what}: {finding.said}")
    return 0


def findings(data: Path | None, model: Path | None) -> Iterator[Finding]:
    """Everything that is looked at, in the order of use."""
    yield _terminal()
    yield _data(data)
    yield from _sound()
    yield _model(data, model)


def _terminal() -> Finding:
    if not sys.stdout.isatty():
        return Finding("terminal", True, "output goes to a file or a pipe; 'plain' works there")
    columns, lines = shutil.get_terminal_size()
    colours = "no colours (NO_COLOR)" if os.environ.get("NO_COLOR") else "colours"
    if columns < SMALLEST[0] or lines < SMALLEST[1]:
        least = f"{SMALLEST[0]} x {SMALLEST[1]}"
        return Finding("terminal", False, f"{columns} x {lines} is small: make it {least} or more")
    return Finding("terminal", True, f"{columns} x {lines}, {colours}")


def _data(data: Path | None) -> Finding:
    folder = data_folder(data)
    try:
        store = open_store(data)
        count = len(store.names())
        store.close()
    except Refusal as refusal:
        return Finding("makes", False, str(refusal))
    return Finding("makes", True, f"{count} in {folder}")


def _sound() -> Iterator[Finding]:
    try:
        # PortAudio prints to the terminal while it looks around; that helps nobody here.
        with _quiet_stderr():
            import sounddevice
    except (OSError, ImportError):
        yield Finding(
            "PortAudio",
            False,
            "not found, so keys only: 'sudo apt-get install -y libportaudio2' lets it listen",
        )
        return
    yield Finding("PortAudio", True, str(sounddevice.get_portaudio_version()[1]))
    with _quiet_stderr():
        inputs = [d["name"] for d in sounddevice.query_devices() if d["max_input_channels"] > 0]
    if inputs:
        yield Finding("microphone", True, ", ".join(inputs))
    else:
        yield Finding("microphone", False, "none found, so keys only: plug one in and try again")


def _model(data: Path | None, model: Path | None) -> Finding:
    """The model that is named, or the one that the words of the settings would be heard with."""
    from engine.ears.fluency import model_for, spoken_by
    from engine.ears.recogniser import starter_dir
    from engine.ears.trial import open_recogniser

    language = load(settings_path(data))[0].language
    try:
        folder = model or model_for(language, data_folder(data)).folder
        spoken = spoken_by(folder)
        with _quiet_stderr():
            open_recogniser(folder, next(iter(spoken), language), data_folder(data)).close()
    except (Refusal, ImportError, OSError) as error:
        return Finding("voice model", False, str(error))
    name = "the starter model" if folder == starter_dir() else str(folder)
    if language not in spoken:
        wanted = language_name(language)
        return Finding("voice model", False, f"{name} loads, but it does not speak {wanted}")
    return Finding("voice model", True, f"{name} loads and speaks {language_name(language)}")


@contextlib.contextmanager
def _quiet_stderr() -> Iterator[None]:
    """C libraries write straight to file descriptor 2; send that away for a while."""
    sys.stderr.flush()
    kept = os.dup(2)
    away = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(away, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(away)
