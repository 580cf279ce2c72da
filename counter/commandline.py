"""The command line: finds the commands, and turns every user's mistake into one sentence.

Exit codes: 0 done, 2 bad input with one sentence on standard error.
"""

import argparse
import importlib
import os
import pkgutil
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from counter import commands
from engine.refusal import Refusal

BAD_INPUT = 2


class Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence, without a page of usage before it."""

    def error(self, message: str) -> NoReturn:
        """Exit 2 with the message and where help is."""
        self.exit(BAD_INPUT, f"{self.prog}: {message}; see '{self.prog} --help'.\n")


def parser() -> argparse.ArgumentParser:
    """The parser of all commands."""
    top = Parser(
        prog="spokenrow",
        description="Counts a hand-made garment loop by loop, by a spoken word or a key. Without "
        "a command it opens the app.",
    )
    top.add_argument(
        "--data", type=Path, metavar="DIR", help="keep the makes in this folder", default=None
    )
    subparsers = top.add_subparsers(metavar="COMMAND", parser_class=Parser)
    for module in sorted(m.name for m in pkgutil.iter_modules(commands.__path__)):
        importlib.import_module(f"counter.commands.{module}").add(subparsers)
    return top


def _with_command(given: list[str]) -> list[str]:
    """The arguments with "app" put before them where no command is named."""
    data = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    data.add_argument("--data")
    try:
        known, rest = data.parse_known_args(given)
    except SystemExit:  # --data without a folder: the real parser says so
        return given
    if rest and (not rest[0].startswith("-") or rest[0] in {"-h", "--help"}):
        return given
    return [*(["--data", known.data] if known.data else []), "app", *rest]


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    given = list(sys.argv[1:] if argv is None else argv)
    arguments = parser().parse_args(_with_command(given))
    try:
        return int(arguments.handler(arguments))
    except Refusal as refusal:
        print(refusal, file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        # The reader of our output went away, as `| head` does; there is no one left to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
