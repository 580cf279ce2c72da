"""The command line: finds the commands, and turns every user's mistake into one sentence.

Exit codes: 0 done, 2 bad input with one sentence on standard error, 70 a mistake of our own.
"""

import argparse
import contextlib
import importlib
import io
import os
import pkgutil
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn, TextIO

from counter import doors
from counter.cli import commands
from counter.shared.outward import door, raw, warn
from engine.base.heap import uncollected
from engine.base.refusal import Refusal
from models.text import legible

BAD_INPUT = 2
OWN_FAULT = 70
"""Source: sysexits.h, EX_SOFTWARE."""


class Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence, without a page of usage before it."""

    def error(self, message: str) -> NoReturn:
        """Exit 2 with the message and where help is."""
        self.exit(
            BAD_INPUT, f"{self.prog}: {legible(message).rstrip('.')}; see '{self.prog} --help'.\n"
        )


def parser(only: str = "") -> argparse.ArgumentParser:
    """The parser of all commands, or of one: the others' libraries take a while to load."""
    top = Parser(
        prog="spokenrow",
        description="Counts a hand-made garment loop by loop, by a spoken word or a key. Without "
        "a command it opens the app.",
    )
    top.add_argument(
        "--data", type=Path, metavar="DIR", help="keep the makes in this folder", default=None
    )
    subparsers = top.add_subparsers(metavar="COMMAND", parser_class=Parser)
    rooms = {
        module.name: room.__name__
        for room in (commands, doors)
        for module in pkgutil.iter_modules(room.__path__)
    }
    for name in [only] if only in rooms else sorted(rooms):
        importlib.import_module(f"{rooms[name]}.{name}").add(subparsers)
    return top


def _with_command(given: list[str]) -> tuple[str, list[str]]:
    """The command, and the arguments with "app" put before them where none is named."""
    data = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    data.add_argument("--data")
    try:
        known, rest = data.parse_known_args(given)
    except SystemExit:  # --data without a folder: the real parser says so
        return "", given
    if rest and (not rest[0].startswith("-") or rest[0] in {"-h", "--help"}):
        return rest[0], given
    return "app", [*(["--data", known.data] if known.data else []), "app", *rest]


@door()
def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code. No input, however odd, shows a traceback."""
    given = list(sys.argv[1:] if argv is None else argv)
    for told in (sys.stdout, sys.stderr):
        # Names of files may hold bytes that are no letters in this terminal's encoding.
        if isinstance(stream := raw(told), io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        command, given = _with_command(given)
        with uncollected():  # what is loaded stays
            arguments = parser(command).parse_args(given)
        code = int(arguments.handler(arguments))
        sys.stdout.flush()
        return code
    except Refusal as refusal:
        warn(str(refusal))
        return BAD_INPUT
    except BrokenPipeError:
        # The reader of our output went away, as `| head` does; there is no one left to tell.
        _silence(sys.stdout)
        return 0
    except KeyboardInterrupt:
        return 130
    except MemoryError:
        warn("This needs more memory than there is: give less at once.")
        return BAD_INPUT
    except Exception as error:
        if os.environ.get("SPOKENROW_DEBUG"):
            raise
        _silence(sys.stdout)
        warn(_told(error))
        return BAD_INPUT if isinstance(error, OSError) or _closed() else OWN_FAULT


def _told(error: Exception) -> str:
    """What to say of an error nobody foresaw; nothing that the maker typed or said is in it."""
    if isinstance(error, ValueError) and _closed():
        return "Standard input or output was closed meanwhile: open it and do it again."
    if isinstance(error, OSError):
        return f"The system refused ({error.strerror or error}): see to it and try again."
    at = traceback.extract_tb(error.__traceback__)[-1]
    return (
        f"spokenrow made a mistake of its own ({type(error).__name__} in {Path(at.filename).name}, "
        f"line {at.lineno}); nothing that was counted is lost. Please report this sentence; "
        "SPOKENROW_DEBUG=1 shows more."
    )


def _closed() -> bool:
    return any(getattr(stream, "closed", False) for stream in (sys.stdin, sys.stdout))


def _silence(stream: TextIO) -> None:
    """Send the rest of a stream that cannot be written nowhere, or Python complains at its end."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
