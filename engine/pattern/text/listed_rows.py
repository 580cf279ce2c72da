"""Items of a numbered list that are rows: their numbers are the rows'."""

import re
from collections.abc import Iterator, Sequence

from engine.pattern.text.attempt import attempt
from engine.pattern.text.clauses import pieces
from engine.pattern.text.definitions import Terms
from engine.pattern.text.layout import Laid
from engine.pattern.text.statements import RowLine
from engine.pattern.text.unwrap import LABEL
from engine.pattern.text.written import Written, joined

_STEPS = re.compile(r"\b(?:repeat|work)\s+steps\s+\d", re.I)
_ROWS = re.compile(r"\brows?\b|\bflat\b", re.I)
_ROUNDS = re.compile(r"\b(?:rnds?|rounds?|join(?:ed|ing)?\b(?!\s+(?:pieces|seams?|sides)))\b", re.I)


def numbered_rows(lines: Sequence[Laid], terms: Terms) -> Iterator[tuple[int, Written]]:
    """The items of a numbered list that are rows: their numbers are the rows' if the first is, or
    if they go on from rows that are labelled above; an item for several places is rows.
    """
    if all(line.number is None for line in lines):
        return
    row_list = False
    follows = 0
    steps = any(_STEPS.search(line.text) for line in lines)
    word = "Row" if any(_ROWS.search(line.text) for line in lines) else "Rnd"
    if not any(_ROUNDS.search(line.text) for line in lines):
        word = "Row"
    for index, line in enumerate(lines):
        if line.number is None or not line.text:
            told = _LAST_LABEL.match(line.text) if LABEL.match(line.text) else None
            follows = int(told["last"]) + 1 if told else follows
            continue
        if line.last:
            row_list, follows = True, line.last + 1
            spot = line.words.spot(0)
            label = f"{word}s {line.number}-{line.last}: "
            yield index, joined([Written.at(label, spot.line, spot.column), line.words], "")
            continue
        if LABEL.match(line.text) or isinstance(attempt(line.words), tuple):
            row_list = row_list and line.number != 1
            continue
        begins_at = _row_of_item(line.words, terms, steps=steps)
        if line.number == 1:
            row_list = begins_at == 0
        elif line.number == follows and begins_at == 0:
            row_list = True
        if begins_at is not None and (row_list or steps):
            before, row = line.words.cut(0, begins_at), line.words.cut(begins_at)
            spot = row.spot(0)
            label = f"{word} {line.number}: "
            follows = line.number + 1
            yield (
                index,
                joined([before, Written.at(label, spot.line, spot.column), row], ""),
            )


_LAST_LABEL = re.compile(
    r"(?:rows?|rnds?|rounds?|r)\.?\s*(?:\d+\s*(?:[-–—,&]|to|and)\s*)*(?P<last>\d+)(?!\d)", re.I
)


def _row_of_item(words: Written, terms: Terms, *, steps: bool) -> int | None:
    """Where the row of a list's item begins; None where it has none. `steps`: it may say more."""
    spelled = terms.spelled(words)
    if isinstance(attempt(spelled, "row_alone"), tuple):
        return None if isinstance(attempt(spelled), tuple) else 0
    if not steps:
        return None
    rows = [
        p
        for p in pieces(words, terms.spelled, bare=True)
        if p.said and isinstance(p.said[0], RowLine) and p.said[0].kind == "next"
    ]
    return words.offset(rows[0].words.spot(0)) if len(rows) == 1 else None
