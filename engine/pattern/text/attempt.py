"""What the grammar reads in a text, as it stands and as it is spelled, and whether it did well."""

import re
from collections.abc import Callable

from lark.exceptions import LarkError

from engine.pattern.text.grammar import parse
from engine.pattern.text.placing import placed
from engine.pattern.text.row_items import AsRow, Claim, Group, Item, Row, Stitch, Toward
from engine.pattern.text.shapes import LateRow, row_by_shape
from engine.pattern.text.statements import RowLine, Statement
from engine.pattern.text.talk import phrase
from engine.pattern.text.written import Written

LINE_AT_MOST = 4_000
"""Characters of one line, its continuations counted in."""
DEPTH_AT_MOST = 12
"""Brackets within brackets."""
Spelled = Callable[[Written], Written]

CAST_ON = re.compile(r"(?:cast\s+on|co|pick\s+up)\b", re.I)


def attempt(words: Written, start: str = "line") -> tuple[Statement, ...] | Exception:
    """What the grammar reads in a text, with its places in the file; or why it does not."""
    text = words.text
    if len(text) > LINE_AT_MOST:
        return ValueError(f"this line has {len(text)} characters, more than {LINE_AT_MOST}")
    if _deep(text):
        return ValueError(f"more than {DEPTH_AT_MOST} brackets stand within one another")
    if start == "line" and (row := row_by_shape(words, _read_line)):
        return row
    try:
        found = parse(text, start)
    except (LarkError, ValueError, OverflowError) as problem:
        return problem
    if start == "row_alone":
        found = [found if isinstance(found, RowLine) else _next_row(found)]
    if any(isinstance(s, RowLine) and not s.row.items for s in found):
        return ValueError("a label stands here, and no row")
    return tuple(placed(statement, words) for statement in found)


def _read_line(text: str) -> list[Statement]:
    return list(parse(text, "line"))


def _next_row(row: Row) -> RowLine:
    """A row that stands without a label."""
    return RowLine("next", None, row, row.spot, marks=row.marks)


def _deep(text: str) -> bool:
    if text.count("(") + text.count("[") + text.count("{") <= DEPTH_AT_MOST:
        return False
    depth = deepest = 0
    for sign in text:
        depth += (sign in "([{") - (sign in ")]}")
        deepest = max(deepest, depth)
    return deepest > DEPTH_AT_MOST


def read_as(words: Written, spelled: Spelled) -> tuple[Statement, ...] | Exception:
    """What the grammar reads without a slip, as it stands or else as it is spelled; or why not."""
    said = attempt(words)
    if isinstance(said, tuple) and clean(said):
        return said
    other = spelled(words)
    again = said if other.text == words.text else attempt(other)
    if isinstance(again, tuple) and not _misread(again):
        return again
    if isinstance(said, tuple) and (_misread(said) or _has_counts(said)):
        return ValueError("this is no row and no sentence about rows")
    return said


def read_row(words: Written, spelled: Spelled, *, bare: bool) -> tuple[Statement, ...] | Exception:
    """The same, and a row that stands without a label where that may be."""
    said = read_as(words, spelled)
    if isinstance(said, tuple) or not bare:
        return said
    lead = phrase("with").match(words.text)
    if lead and CAST_ON.match(words.text, lead.end()):
        return said  # "using grey, cast on 20 sts" begins a part
    row = attempt(words, "row_alone")
    if not isinstance(row, tuple) or not clean(row):
        row = attempt(spelled(words), "row_alone")
    if isinstance(row, tuple) and not _as_another(row) and not _misread(row):
        return row
    return said


def clean(said: tuple[Statement, ...]) -> bool:
    """Whether it was read without a slip of the pen: `K. 4` is no stitch and a count."""
    return all(_clean(s.row) for s in said if isinstance(s, RowLine))


def _clean(row: Row) -> bool:
    if isinstance(row, LateRow):  # all of a shape are alike in this
        kept = row.shape.kept
        if "clean" not in kept:
            kept["clean"] = _clean(row.shape.like)
        return bool(kept["clean"])
    return not (
        row.slips
        or _counts_inside(row.items, last=True)
        or _place_misread(row)
        or _fabric_told(row.items)
    )


def _fabric_told(items: tuple[Item, ...]) -> bool:
    """`Knit (garter st).`: what all of a row makes, and no stitches beside it."""
    if len(items) < 2 or not isinstance(items[-1], Group):
        return False
    told, before = items[-1], items[-2]
    bare = [i for i in told.items if isinstance(i, Stitch) and i.bare]
    whole = isinstance(before, Toward) or (isinstance(before, Stitch) and before.bare)
    return whole and len(told.items) == len(bare) == 1 and not (told.times or told.limit)


_NO_PLACE = re.compile(r"\b(?:rows?|rnds?|rounds?|next|every|beg|beginning|foll|following)\b", re.I)


def _misread(said: tuple[Statement, ...]) -> bool:
    """Whether rows are read as the name of a place: `bo 3 at the beginning of next 4 rows`."""
    return any(isinstance(s, RowLine) and _place_misread(s.row) for s in said)


def _place_misread(row: Row) -> bool:
    return any(
        isinstance(i, Stitch) and _NO_PLACE.search(i.at) and not i.at.startswith('"')
        for i in row.items
    )


def _has_counts(said: tuple[Statement, ...]) -> bool:
    """Whether counts stand within rows, where print spells a stitch so: `K. 4`."""
    return any(isinstance(s, RowLine) and _counts_inside(s.row.items, last=True) for s in said)


def _counts_inside(items: tuple[Item, ...], *, last: bool) -> bool:
    """Whether a count stands before the end, where a stitch is likelier meant."""
    for index, item in enumerate(items):
        if isinstance(item, Claim) and not (last and index == len(items) - 1):
            return True
        if isinstance(item, Group) and _counts_inside(item.items, last=False):
            return True
    return False


def is_row(said: tuple[Statement, ...]) -> bool:
    """Whether a row is among statements."""
    return any(isinstance(s, RowLine) for s in said)


def _as_another(said: tuple[Statement, ...]) -> bool:
    """`Rep rows 1 and 2` is a sentence about rows, and no row where it stands without a label."""
    return any(isinstance(i, AsRow) for s in said if isinstance(s, RowLine) for i in s.row.items)
