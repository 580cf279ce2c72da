"""Takes a line apart into the sentences that the grammar reads and those that it does not."""

import re
from dataclasses import replace

from engine.pattern.text.attempt import Spelled, attempt, clean, is_row, read_as, read_row
from engine.pattern.text.comma_rows import comma_rows
from engine.pattern.text.cuts import OFF, sentences
from engine.pattern.text.sentence import Piece, before_it, lead, sentence
from engine.pattern.text.spelling import respelled
from engine.pattern.text.statements import (
    Again,
    Even,
    Heading,
    Note,
    Repeat,
    RowLine,
    ShapeRows,
    Statement,
    StepLine,
)
from engine.pattern.text.talk import harmless
from engine.pattern.text.written import Written

SENTENCES_AT_MOST = 12
"""Sentences of one row: each full stop may stand between two of its stitches."""


def pieces(words: Written, spelled: Spelled = respelled, *, bare: bool = False) -> list[Piece]:
    """The line as statements and talk, in order. `bare`: a row may stand without a label."""
    return _as_written(words, _pieces(words, spelled, bare=bare))


def _as_written(words: Written, found: list[Piece]) -> list[Piece]:
    """The pieces with the text that stands for them in the line, whatever it was spelled as."""
    starts = sorted({words.offset(p.words.spot(0)) for p in found})
    ends = dict(zip(starts, [*starts[1:], len(words.text)], strict=True))
    out: list[Piece] = []
    for piece in found:
        start = words.offset(piece.words.spot(0))
        out.append(replace(piece, words=words.cut(start, ends[start]).strip()))
    return out


def _pieces(words: Written, spelled: Spelled, *, bare: bool) -> list[Piece]:
    starred = _starred(words, spelled) if words.text.startswith("*") else None
    if starred:
        return starred
    cuts = sentences(words.text)
    if len(cuts) == 2:
        return sentence(words, spelled, bare=bare)
    whole = attempt(words)
    ends = any(_ENDS.match(words.text, cut) for cut in cuts[1:-1])
    if (
        isinstance(whole, tuple)
        and whole
        and isinstance(whole[0], (Heading, Note, RowLine))
        and not (ends and is_row(whole))
        and clean(whole)
    ):
        return [Piece(words, whole)]  # a note's sentences are its own, and stops stand within rows
    out: list[Piece] = []
    while len(cuts) > 1:
        taken, found = _longest(words, cuts, spelled, bare=bare)
        if not taken:
            found = sentence(words.cut(cuts[0], cuts[1]).strip(), spelled, bare=bare)
        out += found
        cuts = cuts[max(1, taken) :]
    return out


_STARRED = re.compile(
    r"^\*\s*(?P<inside>[^*]+?)\s*[.;,*]*\s*(?:rep(?:eat)?\.?\s+(?:from\s+)?\*(?:\s+to\s+\*)?|\*)\s*"
    r"(?P<times>(?:once|twice|\w+\s+(?:more\s+)?times)(?:\s+more|\s+in\s+all)?)\s*\.?$",
    re.I,
)


def _starred(words: Written, spelled: Spelled) -> list[Piece] | None:
    """`*Knit 6 rounds in B, knit 6 rounds in A. Repeat from * 5 times.`: several sentences."""
    match = _STARRED.match(words.text)
    if match is None or isinstance(attempt(spelled(words), "row_alone"), tuple):
        return None
    inside = _pieces(words.cut(*match.span("inside")), spelled, bare=False)
    said = [s for p in inside for s in p.said or ()]
    if not said or not all(isinstance(s, (Even, Repeat, ShapeRows)) for s in said):
        return None
    if any(p.said is None and not p.talk for p in inside):
        return None
    times = words.cut(*match.span("times"))
    told = read_as(before_it("repeat last row ", times), spelled)
    if not isinstance(told, tuple) or not isinstance(told[0], Repeat):
        return None
    span = told[0].span
    again = Again(tuple(said), span.number, not span.in_all, words.spot(0))
    return [*inside, Piece(times, (again,))]


def _longest(
    words: Written, cuts: list[int], spelled: Spelled, *, bare: bool
) -> tuple[int, list[Piece]]:
    """How many sentences belong to the row that the first one begins: stops stand within rows."""
    one = words.cut(cuts[0], cuts[1]).strip()
    if harmless(one.text) and not isinstance(read_as(one, spelled), tuple):
        return 1, [lead(spelled(one).strip(" .,;"))]
    if comma_rows(one):
        return 0, []  # several rows, and each is read alone
    first = read_row(one, spelled, bare=bare)
    if isinstance(first, tuple) and not is_row(first):
        return 1, [Piece(one, first)]
    most = min(len(cuts) - 1, SENTENCES_AT_MOST)
    for count in range(1, most):
        turned = _TURNS.search(words.text, 0, cuts[count])
        whole_row = _ROW_ENDS.search(words.text, 0, cuts[count])
        if (
            (whole_row and _NEW.match(words.text, cuts[count]))
            or _ENDS.match(words.text, cuts[count])
            or (turned and not _UNWORKED.match(words.text, cuts[count]))
        ):
            most = count
            break
    for count in range(most, 0, -1):
        whole = words.cut(cuts[0], cuts[count]).strip()
        said = first if count == 1 else read_row(whole, spelled, bare=bare)
        if isinstance(said, tuple) and (count == 1 or _one_row(said)):
            return count, [Piece(whole, said)]
    return 0, []


def _one_row(said: tuple[Statement, ...]) -> bool:
    """Whether sentences together are a row, or the beginning of one: of any other statement the
    spelling might take in what stands before it.
    """
    return is_row(said) or any(
        isinstance(s, StepLine) and s.kind in {"pick up", "foundation"} for s in said
    )


_TURNS = re.compile(r"(?<!not )\bturn(?:\s+(?:the\s+)?work)?\s*[.;]\s*$", re.I)
"""After a turn the stitches are another row's."""
_ROW_ENDS = re.compile(
    r"\b(?:(?:to|till|until)\s+(?:the\s+)?end|across|around|all\s+along|back)\b(?:\s+(?:of\s+)?(?:the\s+)?(?:row|rnd|round))?"
    r"(?:\s*,[^*.]*)?[.;]\s*$",
    re.I,
)
_NEW = re.compile(r"(?:(?:then|now)\s+)?(?:next|purl|knit|work|p|k)\b", re.I)
"""`… to the end. Purl back.` is two rows."""
_UNWORKED = re.compile(r"leav(?:e|ing)\b[^.;]*\bunworked\b", re.I)
"""But `turn. Leave the remaining 32 sts unworked` says it twice."""
_ENDS = re.compile(
    r"(?:fasten|cut|break|weave|darn|sew)\b|(?:bo|(?:bind|cast)\s+off)\s+(?:the\s+|all\s+)?rem(?:aining)?\b|"
    rf"{OFF}(?:$|(?-i:(?=[A-Z])))",
    re.I,
)
"""A sentence about the yarn's end is none of a row's, nor one that binds off without a number."""
