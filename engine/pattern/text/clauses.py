"""Takes a line apart into the sentences that the grammar reads and those that it does not."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import chain

from lark.exceptions import LarkError

from engine.pattern.text.at_once import NOT_READ, beside, shapes_beside
from engine.pattern.text.cuts import OFF, sentences
from engine.pattern.text.grammar import parse
from engine.pattern.text.messages import Told
from engine.pattern.text.placing import placed
from engine.pattern.text.several import first_shaped, on_last, shaped_last, until_then, written_out
from engine.pattern.text.shapes import LateRow, row_by_shape
from engine.pattern.text.shaving import between, shaved
from engine.pattern.text.spelling import respelled
from engine.pattern.text.stretch import stretched
from engine.pattern.text.talk import aside, harmless, phrase, works
from engine.pattern.text.tree import (
    Again,
    AsRow,
    Claim,
    Even,
    Fabric,
    Group,
    Heading,
    Item,
    Note,
    Repeat,
    Row,
    RowLine,
    ShapeRows,
    Statement,
    StepLine,
    Stitch,
)
from engine.pattern.text.written import Written, joined

LINE_AT_MOST = 4_000
"""Characters of one line, its continuations counted in."""
DEPTH_AT_MOST = 12
"""Brackets within brackets."""
SENTENCES_AT_MOST = 12
"""Sentences of one row: each full stop may stand between two of its stitches."""
Spelled = Callable[[Written], Written]


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a line and what it says; None: the grammar does not read it."""

    words: Written
    said: tuple[Statement, ...] | None
    problem: Exception | None = None
    beside: bool = False
    """Said by the way: what it says is known to count for nothing."""

    @property
    def talk(self) -> bool:
        """Whether it is read as talk: no statement, and no loop that may move."""
        return self.said is None and (self.beside or not works(self.words.text))


_CLAIM_STOP = re.compile(
    r"(?<=[a-z)\d\"]\.)\s+(?=\d+(?:\s*[(\[][^)\]]*[)\]])?\s*(?:sts?|stitch(?:es)?|loops)\b[^.\d]{0,25}\.?$)",
    re.I,
)
"""`… ending with a WS row. 50 (52) sts.`"""
_CONJUNCTION = re.compile(
    r"\s*(?:[,;:]\s*(?:and\s+then\s+|and\s+|then\s+)?|\s(?:and\s+then|and|then)\s+|\s[-–—]+\s)",
    re.I,
)
_ASIDE = re.compile(
    r"\s*\((?![^)]*(?:\d+\s*(?:sts?|stitch|loop)|[kp]\d))[^()]{4,120}\)\s*(?=[.,;]?\s*$)"
)


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
        return _sentence(words, spelled, bare=bare)
    whole = attempt(words)
    ends = any(_ENDS.match(words.text, cut) for cut in cuts[1:-1])
    if (
        isinstance(whole, tuple)
        and whole
        and isinstance(whole[0], (Heading, Note, RowLine))
        and not (ends and _row(whole))
        and clean(whole)
    ):
        return [Piece(words, whole)]  # a note's sentences are its own, and stops stand within rows
    out: list[Piece] = []
    while len(cuts) > 1:
        taken, found = _longest(words, cuts, spelled, bare=bare)
        if not taken:
            found = _sentence(words.cut(cuts[0], cuts[1]).strip(), spelled, bare=bare)
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
    told = _read(_before("repeat last row ", times), spelled)
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
    if harmless(one.text) and not isinstance(_read(one, spelled), tuple):
        return 1, [_lead(spelled(one).strip(" .,;"))]
    first = _read_row(one, spelled, bare=bare)
    if isinstance(first, tuple) and not _row(first):
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
        said = first if count == 1 else _read_row(whole, spelled, bare=bare)
        if isinstance(said, tuple) and (count == 1 or _one_row(said)):
            return count, [Piece(whole, said)]
    return 0, []


def _one_row(said: tuple[Statement, ...]) -> bool:
    """Whether sentences together are a row, or the beginning of one: of any other statement the
    spelling might take in what stands before it.
    """
    return _row(said) or any(
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


def _read(words: Written, spelled: Spelled) -> tuple[Statement, ...] | Exception:
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


def _read_row(words: Written, spelled: Spelled, *, bare: bool) -> tuple[Statement, ...] | Exception:
    """The same, and a row that stands without a label where that may be."""
    said = _read(words, spelled)
    if isinstance(said, tuple) or not bare:
        return said
    lead = phrase("with").match(words.text)
    if lead and _CAST_ON.match(words.text, lead.end()):
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
    return not (row.slips or _counts_inside(row.items, last=True) or _place_misread(row))


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


def _sentence(words: Written, spelled: Spelled, *, bare: bool, depth: int = 0) -> list[Piece]:
    said = _read(words, spelled)
    if isinstance(said, tuple):
        return [Piece(words, said)]
    if shapes_beside(words.text):
        return _at_once(words, spelled, depth)
    again = _as_stretch(words, spelled)
    if again:
        return [Piece(words, again)]
    first = until_then(words) or first_shaped(words)
    if first and depth < 5:
        return [p for one in first for p in _sentence(one, spelled, bare=bare, depth=depth + 1)]
    out = written_out(words)
    if out:
        return [piece for one in out for piece in _sentence(one, spelled, bare=bare, depth=9)]
    if depth > 6:
        return [Piece(words, None, said)]
    if harmless(words.text):
        return [_lead(spelled(words).strip(" .,;"))]
    filler = phrase("fillers").match(words.text)
    if filler:
        rest = words.cut(filler.end())
        return _sentence(rest, spelled, bare=bare, depth=depth + 1)
    whole = spelled(words)
    row = _read_row(words, spelled, bare=bare)
    if isinstance(row, tuple):
        return [Piece(words, row)]
    bracket = _ASIDE.search(whole.text)
    if bracket:
        told = _read(whole.cut(0, bracket.start()), spelled)
        beside = whole.cut(bracket.start()).strip(" .,;")
        if isinstance(told, tuple) and (aside(beside.text) or not _row(told)):
            return [Piece(words, told), Piece(beside, None)]
    trail = phrase("trails").search(whole.text)
    told_how_long = bool(trail and _MEASURED.search(trail.group()))
    if trail and not told_how_long and not works(trail.group().strip(" ,")):
        told = _read(whole.cut(0, trail.start()), spelled)
        if isinstance(told, tuple):
            return [Piece(whole.cut(trail.start()).strip(" ,"), None), Piece(words, told)]
    for lead in ("with", "with_more", "leads"):
        match = phrase(lead).match(whole.text)
        if match and not works(match.group().rstrip(" ,;:–—-")):
            after = _sentence(whole.cut(match.end()), spelled, bare=bare, depth=depth + 1)
            if all(p.said is not None or p.talk for p in after) and any(p.said for p in after):
                return [_lead(whole.cut(0, match.end()).strip(" ,;:")), *after]
    claim = _CLAIM_STOP.search(whole.text)
    if claim and depth < 5:
        parts = [whole.cut(0, claim.start()), whole.cut(claim.end())]
        apart = [p for w in parts for p in _sentence(w, spelled, bare=bare, depth=depth + 1)]
        if all(p.said is not None or p.talk for p in apart):
            return apart
    last = on_last(whole, lambda w: _read(w, spelled))
    if last:
        return [Piece(words, last)]
    shaped = shaped_last(whole, lambda w: _read(w, spelled))
    if shaped:
        return [Piece(words, shaped)]
    split = _split(whole, spelled, bare=bare, depth=depth)
    return (
        split
        or _without_asides(words, spelled, bare=bare, depth=depth)
        or [Piece(words, None, said)]
    )


def _at_once(words: Written, spelled: Spelled, depth: int) -> list[Piece]:
    """Shaping beside what stands before it; where it is not told apart, it is not read."""

    def read(text: Written) -> tuple[Statement, ...] | Exception:
        found = _sentence(text, spelled, bare=False, depth=depth + 1)
        said = [s for p in found for s in p.said or ()]
        if any(p.said is None and not p.talk for p in found):
            return Told(NOT_READ)
        return tuple(said)

    for text in (words, spelled(words)):
        found = beside(text, read)
        if found is None:
            continue
        before, at_once, claims = found
        first = _sentence(before, spelled, bare=False, depth=depth + 1) if before.text else []
        if all(p.said is not None or p.talk for p in first):
            start = words.offset(at_once.spot) if before.text else 0
            return [*first, Piece(words.cut(start), (at_once, *claims))]
    return [Piece(words, None, Told(NOT_READ))]


def _as_stretch(words: Written, spelled: Spelled) -> tuple[Statement, ...]:
    """What a sentence about rows says in an order or in words of its own; none for another."""
    for line in (words, spelled(words)):
        plain = stretched(line)
        said = _read(plain, spelled) if plain else None
        if isinstance(said, tuple) and said and not _row(said):
            return said
    return ()


_MEASURED = re.compile(
    r"\d\s*[)\]]?\s*(?:cms?\b|ins?\b|inch|[\"”″]|rows\b|rnds\b|rounds\b|times\b)|\b(?:until|till)\b",
    re.I,
)
"""How long something goes on: no talk beside a sentence about rows."""


def _without_asides(
    words: Written, spelled: Spelled, *, bare: bool, depth: int
) -> list[Piece] | None:
    """The sentence without what is said by the way; a row only without a bracket or a remark."""
    if not works(words.text) or depth > 3:
        return None
    ways = [(w, False) for w in chain(shaved(words), shaved(spelled(words)))]
    ways += [(w, True) for w in between(words)]
    for (kept, left), inner in ways:
        found = _sentence(kept, spelled, bare=bare, depth=depth + 1)
        if not all(p.said is not None or p.talk for p in found) or not any(p.said for p in found):
            continue
        if any(p.said and _row(p.said) for p in found) and (inner or not _beside(kept, left)):
            continue  # an unknown word between two stitches may be one
        return [*found, Piece(left, None, beside=True)]
    return None


def _beside(kept: Written, left: Written) -> bool:
    """Whether what is left out stands apart from a row's stitches: an unknown word may be one."""
    if _ALONE.fullmatch(kept.text.strip(" .")):
        return False  # "work as for the back" is no row of work
    return len(left.text.split()) > 2 or aside(left.text)


_ALONE = re.compile(r"(?:work|knit|purl|k|p|rib)", re.I)


_CAST_ON = re.compile(r"(?:cast\s+on|co|pick\s+up)\b", re.I)


_SHAPES = re.compile(
    r"\bshap(?:e|ing)\s+(?:of\s+)?(?:the\s+)?((?:front\s+|back\s+)?(?:armholes?|neck(?:line)?|shoulders?|raglans?))\b",
    re.I,
)
"""`To shape the armholes, cast off …`: what is measured later begins there."""


_BACK_AND_FORTH = re.compile(
    r"^(?:work|knitt)ing\s+(?:(?P<flat>back\s+and\s+forth(?:\s+in\s+rows)?|flat|in\s+rows)|in\s+(?:the\s+)?rounds?)$",
    re.I,
)
"""`Working back and forth, dec 1 st …`: from there on rows are turned."""


def _lead(words: Written) -> Piece:
    """What is said in passing: talk, but for the fabric that it may name."""
    shaped = _SHAPES.search(words.text)
    if shaped:
        begun = Heading("section", words.spot(0), text=f"Shape {shaped.group(1)}")
        return Piece(words, (begun,), beside=True)
    ways = _BACK_AND_FORTH.search(words.text)
    if ways:
        spot = words.spot(0)
        way = "work flat" if ways["flat"] else "work in the round"
        turned = attempt(Written.at(way, spot.line, spot.column))
        return Piece(words, turned if isinstance(turned, tuple) else None, beside=True)
    named = phrase("in_fabric").search(words.text)
    said = attempt(_before("work in ", words.cut(*named.span(1)))) if named else None
    return Piece(words, said if isinstance(said, tuple) else None, beside=True)


def _before(text: str, words: Written) -> Written:
    spot = words.spot(0)
    return joined([Written.at(text, spot.line, spot.column), words], "")


def _row(said: tuple[Statement, ...]) -> bool:
    return any(isinstance(s, RowLine) for s in said)


def _as_another(said: tuple[Statement, ...]) -> bool:
    """`Rep rows 1 and 2` is a sentence about rows, and no row where it stands without a label."""
    return any(isinstance(i, AsRow) for s in said if isinstance(s, RowLine) for i in s.row.items)


_MEANWHILE = re.compile(
    r"(?:(?:and|while|whilst|but|also|at\s+the\s+same\s+time),?\s+)*(?:inc|dec|shap|mak(?:e|ing)\s+1|m1)",
    re.I,
)


def _split(whole: Written, spelled: Spelled, *, bare: bool, depth: int) -> list[Piece] | None:
    """Two instructions in one sentence: the first is read, the rest is read or is talk."""
    cuts = list(_CONJUNCTION.finditer(whole.text))
    for cut in reversed(cuts[-8:]):
        left, right = whole.cut(0, cut.start()), whole.cut(cut.end())
        if not left.text or not right.text or right.text[0].isdigit():
            continue  # "rows 1 and 2" is no place to part
        said = _read(left, spelled)
        if not isinstance(said, tuple) or not said:
            continue
        if _row(said) and not aside(right.text):
            continue  # an unknown word in a row may be a stitch
        if any(isinstance(s, (Even, Repeat)) for s in said) and _MEANWHILE.match(right.text):
            continue  # "knit 1 row, dec 4 sts evenly" is one row
        begun = isinstance(said[0], StepLine) and said[0].kind == "foundation"
        rest = _sentence(right, spelled, bare=bare and begun, depth=depth + 1)
        if any(p.said is None and _MORE_ROWS.search(p.words.text) for p in rest):
            continue  # "at beg of next and foll alt row" is more than the next
        if isinstance(said[0], Fabric) and any(
            p.said is None and _MEASURED.search(p.words.text) for p in rest
        ):
            continue  # "work straight, for 9 ins" says how long
        if all(p.said is not None or p.talk for p in rest):
            return [Piece(left, said), *rest]
    return None


_MORE_ROWS = re.compile(
    r"^(?:on\s+|of\s+|the\s+)*(?:foll|following|alt|alternate|every|each|next)\b[^,]*\b(?:rows?|rnds?|rounds?)\b",
    re.I,
)
