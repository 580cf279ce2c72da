"""What is printed, on its way to a terminal, a file or a pipe: nothing in it is obeyed there.

`tell` and its like make each piece legible (`models.text`), so that no line breaks in the middle.
`door` stands behind them while a command runs, for what is printed by others.
"""

import json
import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any, TextIO, cast

from models.text import legible, legible_lines


def tell(line: str = "", *, flush: bool = False) -> None:
    """Print one line, whatever is in it."""
    print(legible(line), flush=flush)  # noqa: T201


def tell_lines(text: str) -> None:
    """Print text of several lines that ends with its own line break."""
    print(legible_lines(text), end="")  # noqa: T201


def tell_json(data: object, indent: int | None = 1) -> None:
    """Print JSON. Its own escapes keep what it holds exactly as it is."""
    print(json.dumps(data, indent=indent), flush=indent is None)  # noqa: T201


def warn(line: str) -> None:
    """Print one line on standard error."""
    print(legible(line), file=sys.stderr, flush=True)  # noqa: T201


class Outward:
    """A stream of text that shows every code in it as a visible sign."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream

    def write(self, text: str) -> int:
        """Write it; gives the characters of `text`, as streams do."""
        self.stream.write(legible_lines(text))
        return len(text)

    def writelines(self, lines: Iterable[str]) -> None:
        """Write one after the other."""
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)


def outward(stream: TextIO) -> TextIO:
    """The stream behind such a door; a stream that is not there at all stays so."""
    return cast("TextIO", Outward(stream)) if stream is not None else stream


def raw(stream: TextIO) -> TextIO:
    """The stream before it, for codes of our own: a bar that moves, a screen put right."""
    return stream.stream if isinstance(stream, Outward) else stream


def make_whole() -> None:
    """Where a standard stream was closed before we came, put one there that is empty.

    Else the first file opened would take its number, and whatever is said would go into that.
    """
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free
    if sys.stdin is None:
        sys.stdin = open(0, closefd=False)  # noqa: SIM115
    if sys.stdout is None:
        sys.stdout = open(1, "w", closefd=False)  # noqa: SIM115
    if sys.stderr is None:
        sys.stderr = open(2, "w", closefd=False)  # noqa: SIM115


@contextmanager
def door() -> Iterator[None]:
    """Standard output and standard error behind it, as long as this lasts."""
    make_whole()
    kept = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = map(outward, kept)
    try:
        yield
    finally:
        sys.stdout, sys.stderr = kept
