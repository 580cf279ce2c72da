"""Files that a command writes for the maker, and never over another unasked."""

import argparse
import sys
from pathlib import Path

from counter.shared.outward import tell
from engine.base.files import replace
from engine.base.refusal import Refusal
from models.text import legible_lines


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
    if isinstance(content, str):
        content = legible_lines(content).encode()
    try:
        if path.exists() and not path.is_file():
            path.write_bytes(content)  # a pipe or a device; of a folder the system complains
            return
        if path.exists() and not overwrite and not _asked(path):
            raise Refusal(f"{path} is already there: give another name, or --overwrite.")
        if not path.parent.exists():
            raise FileNotFoundError(2, f"there is no folder {path.parent}")
        replace(path.resolve(), content, private=False)
    except (OSError, ValueError) as error:
        if isinstance(error, Refusal):
            raise
        why = getattr(error, "strerror", None) or str(error)
        raise Refusal(f"{path} cannot be written ({why}): give another name.") from error


def _asked(path: Path) -> bool:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return False
    tell(f"{path} is already there. Write over it?", flush=True)
    try:
        return input("y or n> ").strip().lower() in {"y", "yes"}
    except EOFError:
        return False
