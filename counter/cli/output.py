"""Files that a command writes for the maker, and never over another unasked."""

import argparse
import sys
from pathlib import Path

from counter.shared.filing import write_file
from counter.shared.outward import tell


def add_output_arguments(parser: argparse.ArgumentParser, told: str) -> None:
    """Which file to write, and whether one that is there may go."""
    parser.add_argument("-o", "--output", type=Path, metavar="FILE", help=told)
    add_overwrite_argument(parser)


def add_overwrite_argument(parser: argparse.ArgumentParser) -> None:
    """Whether a file that is there may go."""
    parser.add_argument("--overwrite", action="store_true", help="replace a file that is there")


def write(path: Path, content: str | bytes, *, overwrite: bool = False) -> None:
    """Write a file, all or nothing; text is made legible on its way.

    Where one is there already a person at the terminal is asked. Raises Refusal where it must not
    be replaced, and where it cannot be written.
    """
    write_file(path, content, lambda there: overwrite or _asked(there), ", or --overwrite")


def _asked(path: Path) -> bool:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return False
    tell(f"{path} is already there. Write over it?", flush=True)
    try:
        return input("y or n> ").strip().lower() in {"y", "yes"}
    except EOFError:
        return False
