"""The pieces of a written line: text, and numbers that may differ from size to size."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby


@dataclass(frozen=True)
class Num:
    """A number that may differ from size to size, as it is written."""

    said: str


Piece = str | Num
Words = tuple[Piece, ...]


@dataclass(frozen=True)
class Line:
    """One line for one size."""

    words: Words
    note: bool = False
    spans: bool = False
    """Whether it is labelled `Rows `, a first number, a dash and a last number."""

    @property
    def alike(self) -> tuple[bool, tuple[str | None, ...]]:
        """What must be the same for two sizes' lines to become one."""
        return self.note, tuple(None if isinstance(p, Num) else p for p in self.words)


def num(value: float) -> Num:
    """A number as it is written: whole where it is."""
    return Num(repr(int(value)) if value == int(value) else repr(value))


def joined(items: Sequence[Words]) -> Words:
    """Items with commas between, neighbouring text drawn together."""
    out: list[Piece] = []
    for index, item in enumerate(items):
        for piece in (", ", *item) if index else item:
            if isinstance(piece, str) and out and isinstance(out[-1], str):
                out[-1] += piece
            elif piece != "":
                out.append(piece)
    return tuple(out)


def begun(words: Words) -> Words:
    """With a capital."""
    first = words[0] if words else ""
    if isinstance(first, str) and first[:1].isalpha():
        return (first[0].upper() + first[1:], *words[1:])
    return words


def with_numbers(text: str) -> Words:
    """A sentence with its numbers set apart, so that they may differ from size to size."""
    pieces: list[Piece] = []
    for numeral, run in groupby(_tokens(text), key=lambda token: token[0].isdigit()):
        for token in run:
            if numeral:
                pieces.append(Num(token))
            elif pieces and isinstance(pieces[-1], str):
                pieces[-1] += token
            else:
                pieces.append(token)
    return tuple(pieces)


def _tokens(text: str) -> Iterator[str]:
    """Numbers, with a decimal point where digits follow it, and single other characters."""
    at = 0
    while at < len(text):
        end = at + 1
        if text[at].isdigit():
            while end < len(text) and (
                text[end].isdigit()
                or (
                    text[end] == "."
                    and text[end + 1 : end + 2].isdigit()
                    and "." not in text[at:end]
                )
            ):
                end += 1
        yield text[at:end]
        at = end
