"""One sentence of a line: the ways in which it may be an instruction, tried one after the other."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import chain

from engine.pattern.text.at_once import NOT_READ, beside, shapes_beside
from engine.pattern.text.attempt import Spelled, attempt, is_row, read_as, read_row
from engine.pattern.text.comma_rows import comma_rows
from engine.pattern.text.messages import Told
from engine.pattern.text.several import first_shaped, on_last, shaped_last, until_then, written_out
from engine.pattern.text.shaving import between, shaved
from engine.pattern.text.statements import Even, Fabric, Heading, Repeat, Statement, StepLine
from engine.pattern.text.stretch import stretched
from engine.pattern.text.talk import aside, harmless, phrase, works
from engine.pattern.text.written import Written, joined

CUT_AT_MOST = 6
"""How often a sentence is cut into shorter ones, one within the other."""


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


@dataclass(frozen=True)
class _Sentence:
    """A sentence that the grammar does not read as it stands, nor as it is spelled."""

    words: Written
    spelled: Spelled
    bare: bool
    """A row may stand without a label."""
    depth: int
    """How many cuts it lies within."""
    problem: Exception

    @cached_property
    def whole(self) -> Written:
        """It in the grammar's spelling."""
        return self.spelled(self.words)

    def read(self, words: Written) -> tuple[Statement, ...] | Exception:
        """What a part of it says, in one."""
        return read_as(words, self.spelled)

    def within(self, words: Written, *, bare: bool | None = None) -> list[Piece]:
        """A part of it as a sentence of its own."""
        may = self.bare if bare is None else bare
        return sentence(words, self.spelled, bare=may, depth=self.depth + 1)


_Way = Callable[[_Sentence], list[Piece] | None]


def sentence(words: Written, spelled: Spelled, *, bare: bool, depth: int = 0) -> list[Piece]:
    """What a sentence says, in pieces; one piece that is not read where no way leads anywhere."""
    if _INTRODUCES.fullmatch(words.text):
        return [lead(words.strip(" .:"))]
    if depth < _UNCUT and (rows := comma_rows(words)):
        return [p for one in rows for p in sentence(one, spelled, bare=bare, depth=_UNCUT)]
    said = read_as(words, spelled)
    if isinstance(said, tuple):
        return [Piece(words, said)]
    case = _Sentence(words, spelled, bare, depth, said)
    for way in _WAYS:
        found = way(case)
        if found:
            return found
    return [Piece(words, None, said)]


_INTRODUCES = re.compile(
    r"(?:(?:the\s+)?next(?:\s+(?:row|rnd|round))?\s*(?:\((?:RS|WS)[^()]{0,8}\)\s*)?[:,.]?\s*)?(?:(?:work|cont(?:inue)?|knit|proceed|begin|start)\b)"
    r"(?:\s+in\s+(?:the\s+)?(?:patt(?:ern)?|lace|rib(?:bing)?|cable|main|stitch)(?:\s+(?:patt(?:ern)?|stitch|st))?)?"
    r"(?:\s+as\s+foll(?:ows)?)\W*",
    re.I,
)
"""`Next: work in pattern as follows:` is no row: those below it are."""


def _understood(found: list[Piece]) -> bool:
    """Whether every piece is read, or talk."""
    return all(p.said is not None or p.talk for p in found)


def _meanwhile(case: _Sentence) -> list[Piece] | None:
    if not shapes_beside(case.words.text):
        return None
    return _at_once(case.words, case.spelled, case.depth)


def _stretch(case: _Sentence) -> list[Piece] | None:
    said = _as_stretch(case.words, case.spelled)
    return [Piece(case.words, said)] if said else None


def _then(case: _Sentence) -> list[Piece] | None:
    """`until it measures 5 cm, then …` are two."""
    first = until_then(case.words) or first_shaped(case.words)
    if not first or case.depth >= CUT_AT_MOST - 1:
        return None
    return [p for one in first for p in case.within(one)]


def _several_rows(case: _Sentence) -> list[Piece] | None:
    rows = written_out(case.words)
    return [
        p for one in rows for p in sentence(one, case.spelled, bare=case.bare, depth=_UNCUT)
    ] or None


_UNCUT = CUT_AT_MOST + 3
"""A row that was written out of several is read in one, or not."""


def _too_deep(case: _Sentence) -> list[Piece] | None:
    return [Piece(case.words, None, case.problem)] if case.depth > CUT_AT_MOST else None


def _harmless(case: _Sentence) -> list[Piece] | None:
    return [lead(case.whole.strip(" .,;"))] if harmless(case.words.text) else None


def _after_filler(case: _Sentence) -> list[Piece] | None:
    filler = phrase("fillers").match(case.words.text)
    return case.within(case.words.cut(filler.end())) if filler else None


def _bare_row(case: _Sentence) -> list[Piece] | None:
    row = read_row(case.words, case.spelled, bare=case.bare)
    return [Piece(case.words, row)] if isinstance(row, tuple) else None


def _with_bracket(case: _Sentence) -> list[Piece] | None:
    """What stands in a bracket at its end is said by the way."""
    bracket = _ASIDE.search(case.whole.text)
    if not bracket:
        return None
    told = case.read(case.whole.cut(0, bracket.start()))
    said_by = case.whole.cut(bracket.start()).strip(" .,;")
    if isinstance(told, tuple) and _SAYS_ROWS.search(said_by.text) and not all(map(_known, told)):
        return None  # "5 cm (20 rows)", "5 times (10 rows in all)" say how many there are
    if isinstance(told, tuple) and (aside(said_by.text) or not is_row(told)):
        return [Piece(case.words, told), Piece(said_by, None)]
    return None


_SAYS_ROWS = re.compile(r"\d+\s*(?:rows|rnds|rounds)\b", re.I)


def _known(said: Statement) -> bool:
    """Whether a sentence says how many rows it is, so that a bracket says it again."""
    return not isinstance(said, (Even, Repeat)) or said.span.kind in {"rows", "total"}


def _with_trail(case: _Sentence) -> list[Piece] | None:
    """What trails after it moves no loop, and says not how long it goes on."""
    trail = phrase("trails").search(case.whole.text)
    if not trail or _MEASURED.search(trail.group()) or works(trail.group().strip(" ,")):
        return None
    told = case.read(case.whole.cut(0, trail.start()))
    if not isinstance(told, tuple):
        return None
    return [Piece(case.whole.cut(trail.start()).strip(" ,"), None), Piece(case.words, told)]


def _after_lead(case: _Sentence) -> list[Piece] | None:
    """`With MC, …`: what is said first, in passing."""
    for name in ("with", "with_more", "leads"):
        match = phrase(name).match(case.whole.text)
        if match and not works(match.group().rstrip(" ,;:–—-")):
            after = case.within(case.whole.cut(match.end()))
            if _understood(after) and any(p.said for p in after):
                return [lead(case.whole.cut(0, match.end()).strip(" ,;:")), *after]
    return None


def _count_apart(case: _Sentence) -> list[Piece] | None:
    """A count after a full stop that ended an abbreviation."""
    claim = _CLAIM_STOP.search(case.whole.text)
    if not claim or case.depth >= CUT_AT_MOST - 1:
        return None
    parts = [case.whole.cut(0, claim.start()), case.whole.cut(claim.end())]
    apart = [p for w in parts for p in case.within(w)]
    return apart if _understood(apart) else None


def _last_shaped(case: _Sentence) -> list[Piece] | None:
    said = on_last(case.whole, case.read) or shaped_last(case.whole, case.read)
    return [Piece(case.words, said)] if said else None


_CLAIM_STOP = re.compile(
    r"(?<=[a-z)\d\"]\.)\s+(?=\d+(?:\s*[(\[][^)\]]*[)\]])?\s*(?:sts?|stitch(?:es)?|loops)\b[^.\d]{0,25}\.?$)",
    re.I,
)
"""`… ending with a WS row. 50 (52) sts.`"""
_ASIDE = re.compile(
    r"\s*\((?![^)]*(?:\d+\s*(?:sts?|stitch|loop)|[kp]\d))[^()]{4,120}\)\s*(?=[.,;]?\s*$)"
)


def _at_once(words: Written, spelled: Spelled, depth: int) -> list[Piece]:
    """Shaping beside what stands before it; where it is not told apart, it is not read."""

    def read(text: Written) -> tuple[Statement, ...] | Exception:
        found = sentence(text, spelled, bare=False, depth=depth + 1)
        said = [s for p in found for s in p.said or ()]
        if any(p.said is None and not p.talk for p in found):
            return Told(NOT_READ)
        return tuple(said)

    for text in (words, spelled(words)):
        found = beside(text, read)
        if found is None:
            continue
        before, at_once, claims = found
        first = sentence(before, spelled, bare=False, depth=depth + 1) if before.text else []
        if _understood(first):
            start = words.offset(at_once.spot) if before.text else 0
            told = [s for p in first for s in p.said or ()]
            # "Work in st st, increasing 1 st …": nothing goes on beside it but the fabric
            alone = bool(told) and all(isinstance(s, Fabric) for s in told)
            said = at_once.said if alone else (at_once,)
            return [*first, Piece(words.cut(start), (*said, *claims))]
    return [Piece(words, None, Told(NOT_READ))]


def _as_stretch(words: Written, spelled: Spelled) -> tuple[Statement, ...]:
    """What a sentence about rows says in an order or in words of its own; none for another."""
    for line in (words, spelled(words)):
        plain = stretched(line)
        said = read_as(plain, spelled) if plain else None
        if isinstance(said, tuple) and said and not is_row(said):
            return said
    return ()


_MEASURED = re.compile(
    r"\d\s*[)\]]?\s*(?:cms?\b|ins?\b|inch|[\"”″]|rows\b|rnds\b|rounds\b|times\b)|\b(?:until|till)\b",
    re.I,
)
"""How long something goes on: no talk beside a sentence about rows."""


def _shaved(case: _Sentence) -> list[Piece] | None:
    """The sentence without what is said by the way; a row only without a bracket or a remark."""
    if not works(case.words.text) or case.depth > 3:
        return None
    ways = [(w, False) for w in chain(shaved(case.words), shaved(case.whole))]
    ways += [(w, True) for w in between(case.words)]
    for (kept, left), inner in ways:
        found = case.within(kept)
        if not _understood(found) or not any(p.said for p in found):
            continue
        if any(p.said and is_row(p.said) for p in found) and (inner or not _beside(kept, left)):
            continue  # an unknown word between two stitches may be one
        return [*found, Piece(left, None, beside=True)]
    return None


def _beside(kept: Written, left: Written) -> bool:
    """Whether what is left out stands apart from a row's stitches: an unknown word may be one."""
    if _ALONE.fullmatch(kept.text.strip(" .")):
        return False  # "work as for the back" is no row of work
    return len(left.text.split()) > 2 or aside(left.text)


_ALONE = re.compile(r"(?:work|knit|purl|k|p|rib)", re.I)


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


def lead(words: Written) -> Piece:
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
    said = attempt(before_it("work in ", words.cut(*named.span(1)))) if named else None
    return Piece(words, said if isinstance(said, tuple) else None, beside=True)


def before_it(text: str, words: Written) -> Written:
    """Words with a text of ours before them, which stands at their place."""
    spot = words.spot(0)
    return joined([Written.at(text, spot.line, spot.column), words], "")


_CONJUNCTION = re.compile(
    r"\s*(?:[,;:]\s*(?:and\s+then\s+|and\s+|then\s+)?|\s(?:and\s+then|and|then)\s+|\s[-–—]+\s)",
    re.I,
)
_MEANWHILE = re.compile(
    r"(?:(?:and|while|whilst|but|also|at\s+the\s+same\s+time),?\s+)*(?:inc|dec|shap|mak(?:e|ing)\s+1|m1)",
    re.I,
)


def _in_two(case: _Sentence) -> list[Piece] | None:
    """Two instructions in one sentence: the first is read, the rest is read or is talk."""
    whole = case.whole
    cuts = list(_CONJUNCTION.finditer(whole.text))
    for cut in reversed(cuts[-8:]):
        left, right = whole.cut(0, cut.start()), whole.cut(cut.end())
        counts = right.text[:1].isdigit() and not _A_LENGTH.match(right.text)
        if not left.text or not right.text or counts:
            continue  # "rows 1 and 2" is no place to part
        said = case.read(left)
        if not isinstance(said, tuple) or not said:
            continue
        if is_row(said) and not aside(right.text):
            continue  # an unknown word in a row may be a stitch
        after = "then" in cut.group().lower()
        goes_on = any(isinstance(s, (Even, Repeat)) for s in said)
        if goes_on and not after and _MEANWHILE.match(right.text):
            continue  # "knit 1 row, dec 4 sts evenly" is one row
        begun = isinstance(said[0], StepLine) and said[0].kind == "foundation"
        rest = case.within(right, bare=case.bare and begun)
        if any(p.said is None and _MORE_ROWS.search(p.words.text) for p in rest):
            continue  # "at beg of next and foll alt row" is more than the next
        if isinstance(said[0], Fabric) and any(
            p.said is None and _MEASURED.search(p.words.text) for p in rest
        ):
            continue  # "work straight, for 9 ins" says how long
        if _understood(rest):
            return [Piece(left, said), *rest]
    return None


_A_LENGTH = re.compile(
    r"[\d.½¼¾]+(?:\s*[(\[][\d\s.½¼¾,:;–-]+[)\]])?\s*(?:cms?|ins?|inch(?:es)?|[\"”″])(?!\w)\.?\s+(?:of\s+)?"
    r"(?:k\s?\d|rib|garter|st|moss|seed)",
    re.I,
)
"""`…, then 6 cm rib`: what follows is work, and no second number."""


_MORE_ROWS = re.compile(
    r"^(?:on\s+|of\s+|the\s+)*(?:foll|following|alt|alternate|every|each|next)\b[^,]*\b(?:rows?|rnds?|rounds?)\b",
    re.I,
)


_WAYS: tuple[_Way, ...] = (
    _meanwhile,
    _stretch,
    _then,
    _several_rows,
    _too_deep,
    _harmless,
    _after_filler,
    _bare_row,
    _with_bracket,
    _with_trail,
    _after_lead,
    _count_apart,
    _last_shaped,
    _in_two,
    _shaved,
)
"""In their order: the plainest first, and what leaves words out last."""
