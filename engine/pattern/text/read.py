"""Reads the text of a pattern: lines by the grammar in pattern.lark, statements by their lines.

A line that the grammar does not know becomes an `Unread` with its place; the others are still
read, so that one slip of the pen does not hide the rest.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from itertools import takewhile
from typing import Any

from lark.exceptions import LarkError

from engine.base.refusal import Refusal
from engine.pattern.text.grammar import grammar, parse
from engine.pattern.text.one_size import of_one_size
from engine.pattern.text.tree import (
    Even,
    ForSizes,
    Heading,
    Repeat,
    RowLine,
    ShapeRows,
    Spot,
    Statement,
    StepLine,
)
from models.text import legible_lines

BYTES_AT_MOST = 1_000_000
LINES_AT_MOST = 20_000
LINE_AT_MOST = 4_000
"""Characters of one line, its continuations counted in."""
SENTENCES_AT_MOST = 10
"""Sentences on one line."""
DEPTH_AT_MOST = 12
"""Brackets within brackets."""
WEAVE_IN = "Weave in the ends. Mind the scissors, and keep loose loops away from infants"


@dataclass(frozen=True)
class Unread:
    """A line that is not understood: where, and what was met there."""

    spot: Spot
    what: str
    repair: str


@dataclass(frozen=True)
class Scoped:
    """A statement and the sizes it is for; none named: all."""

    names: tuple[str, ...]
    said: Statement


@dataclass(frozen=True)
class Pattern:
    """A pattern as read: its statements in order, and the lines that could not be."""

    statements: tuple["Scoped", ...]
    unread: tuple[Unread, ...]
    sizes: tuple[str, ...]
    headings: dict[str, Heading] = field(default_factory=dict)
    """Headings of which there is one: title, craft, gauge, design, ball, yarn."""

    @property
    def title(self) -> str:
        """Its title, or a plain word where it has none."""
        return self.headings["title"].text if "title" in self.headings else "Written pattern"

    @property
    def needles(self) -> bool:
        """Whether it is worked with needles; loop yarn where it does not say."""
        return "craft" in self.headings and self.headings["craft"].text == "needles"


def _shift(value: Any, by: int) -> Any:
    """The same statement, with its lines counted from the top of the file."""
    if isinstance(value, Spot):
        return Spot(value.line + by, value.column)
    if isinstance(value, tuple):
        return tuple(_shift(v, by) for v in value)
    if hasattr(value, "__dataclass_fields__"):
        return replace(
            value, **{name: _shift(getattr(value, name), by) for name in value.__dataclass_fields__}
        )
    return value


def _deep(text: str) -> bool:
    depth = deepest = 0
    for sign in text:
        depth += (sign in "([{") - (sign in ")]}")
        deepest = max(deepest, depth)
    return deepest > DEPTH_AT_MOST


def _lines(text: str) -> Iterable[tuple[int, str]]:
    """Line numbers and lines, each with the indented ones that continue it."""
    start, held = 0, ""
    for number, line in enumerate(text.splitlines(), 1):
        if line[:1].isspace() and line.strip() and held:
            held += "\n" + line
            continue
        if held:
            yield start, held
        start, held = number, ("" if line.lstrip().startswith("#") else line.rstrip())
    if held:
        yield start, held


_KNOWN = (
    "knit",
    "purl",
    "work",
    "repeat",
    "rep",
    "from",
    "end",
    "last",
    "across",
    "around",
    "evenly",
    "until",
    "piece",
    "measures",
    "row",
    "rows",
    "rnd",
    "round",
    "rounds",
    "next",
    "every",
    "other",
    "sts",
    "stitches",
    "loops",
    "times",
    "twice",
    "once",
    "more",
    "k2tog",
    "p2tog",
    "k3tog",
    "ssk",
    "ssp",
    "psso",
    "kfb",
    "pfb",
    "yo",
    "m1",
    "m1l",
    "m1r",
    "inc",
    "dec",
    "increase",
    "decrease",
    "bind",
    "off",
    "cast",
    "on",
    "place",
    "marker",
    "slip",
    "title",
    "craft",
    "sizes",
    "gauge",
    "part",
    "note",
    "level",
    "mirrored",
    "length",
    "finished",
    "foundation",
    "seam",
    "measure",
    "finish",
)


def _nearest(words: str) -> str:
    """The word of the notation that the first one is most like, as a repair."""
    first = "".join(c for c in words.split(" ", maxsplit=1)[0].lower() if c.isalnum())
    if first in _KNOWN:
        return ""
    like = get_close_matches(first, _KNOWN, n=1, cutoff=0.72)
    return f"perhaps {like[0]!r} is meant" if like else ""


def unread(problem: Exception, text: str, line: int) -> Unread:
    """What a maker is told of a line that the grammar does not know."""
    if isinstance(problem, ValueError):  # read, and impossible: the sentence is ours
        lead = len(text) - len(text.lstrip())
        return Unread(Spot(line, lead + 1), str(problem), "write it as a line of its own")
    at = getattr(problem, "pos_in_stream", None)
    row, column = getattr(problem, "line", 1), getattr(problem, "column", 1)
    if not isinstance(row, int) or row < 1 or not isinstance(column, int) or column < 1:
        row, column = 1, len(text.split("\n", maxsplit=1)[0]) + 1
    rest = text[at:] if isinstance(at, int) and at >= 0 else ""
    word = " ".join(rest.split()[:3])
    begun = "".join(takewhile(str.isalnum, reversed(text[:at]))) if rest else ""
    if not word or getattr(getattr(problem, "token", None), "type", "") == "$END":
        row, column = text.count("\n") + 1, len(text.rsplit("\n", maxsplit=1)[-1]) + 1
        what = "the line stops before it is complete"
    else:
        what = f"{word!r} is not understood here"
    repair = (
        _nearest(begun[::-1] + word)
        or "write it as the notation shows, one row or one sentence a line"
    )
    return Unread(Spot(line + row - 1, column), what, repair)


def _sentences(text: str) -> list[Statement] | None:
    """The statements of a line that holds several sentences; None where it does not.

    Full stops also stand within rows, so the longest beginning that can be read is taken first.
    """
    stops = [i + 1 for i, sign in enumerate(text) if sign == "." and text[i + 1 : i + 2] == " "]
    for stop in reversed(stops[:SENTENCES_AT_MOST]):
        # What was read is blanked, so that the places of the rest stay what they are.
        blank = "".join(sign if sign == "\n" else " " for sign in text[:stop])
        try:
            first: list[Statement] = parse(text[:stop], "line")
        except (LarkError, ValueError, OverflowError):
            continue
        try:
            return first + list(parse(blank + text[stop:], "line"))
        except (LarkError, ValueError, OverflowError):
            rest = _sentences(blank + text[stop:])
            return None if rest is None else first + rest
    return None


def _statements(text: str, line: int) -> tuple[list[Statement], Unread | None]:
    if len(text) > LINE_AT_MOST:
        what = f"this line has {len(text)} characters, more than {LINE_AT_MOST}"
        return [], Unread(Spot(line, 1), what, "write one row a line")
    if _deep(text):
        what = f"more than {DEPTH_AT_MOST} brackets stand within one another"
        return [], Unread(Spot(line, 1), what, "write it with fewer brackets")
    grammar()  # compiled outside, so that a mistake of the grammar's own is not taken for a slip
    try:
        found: list[Statement] = parse(text, "line")
    except (LarkError, ValueError, OverflowError) as problem:
        several = _sentences(text)
        if several is None:
            return [], unread(problem, text, line)
        found = several
    return [_shift(s, line - 1) for s in found], None


_SINGLE = {"title", "craft", "gauge", "design", "ball", "yarn"}


def read(text: str) -> Pattern:
    """The pattern of a text. Raises Refusal for one too large, or without a single row."""
    if len(text.encode("utf-8", "replace")) > BYTES_AT_MOST:
        raise Refusal(
            f"The pattern is larger than {BYTES_AT_MOST // 1000} kB: that is no pattern, or it is "
            "many; give one at a time."
        )
    statements: list[Scoped] = []
    block: tuple[str, ...] = ()
    problems: list[Unread] = []
    headings: dict[str, Heading] = {}
    sizes: tuple[str, ...] = ("one size",)
    for number, (line, written) in enumerate(_lines(legible_lines(text))):
        if number >= LINES_AT_MOST:
            raise Refusal(f"The pattern has more than {LINES_AT_MOST} lines: give less at a time.")
        found, problem = _statements(written, line)
        if problem:
            problems.append(problem)
        scope = block
        for statement in found:
            if isinstance(statement, ForSizes):
                scope = statement.names
                block = scope if len(found) == 1 else block
            elif isinstance(statement, Heading) and statement.kind in _SINGLE:
                headings[statement.kind] = statement
            elif isinstance(statement, Heading) and statement.kind == "sizes":
                sizes = statement.names
            else:
                statements.append(Scoped(scope, statement))
    worked = (RowLine, Even, Repeat, ShapeRows, StepLine)
    if not any(isinstance(s.said, worked) for s in statements) and not problems:
        raise Refusal(
            "There is no row in this text: write at least a foundation and a row, as in "
            "'Cast on 20 loops.' and 'Row 1: knit.'"
        )
    if len(sizes) == 1:
        statements = [replace(s, said=of_one_size(s.said)) for s in statements]
    return Pattern(tuple(statements), tuple(problems), sizes, headings)


def by_size(text: str, size: int, sizes: int) -> str:
    """A note's text for one size: `12 (14, 16)` becomes the size's own number."""
    if sizes < 2 or "(" not in text:
        return text
    pieces: list[str] = []
    for token in parse(text, "prose"):
        if token.type == "SIZED":
            entries = [e.strip() for e in token.replace("(", ",").rstrip(") ").split(",")]
            pieces.append(entries[size] if len(entries) == sizes else str(token))
        else:
            pieces.append(str(token))
    return "".join(pieces)
