"""Sorts the lines of a pattern: headings, rows, sentences, steps, talk, and what could not be read.

Above the first loop a page tells its title, materials, gauge, sizes and abbreviations; below it
every line is work until it is plain that it is talk. A line that may move a loop and is not read
is never talk.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from engine.pattern.text.attempt import attempt, clean
from engine.pattern.text.clauses import pieces
from engine.pattern.text.cuts import OFF, sentences
from engine.pattern.text.definitions import Terms, defines, definitions_in
from engine.pattern.text.gauge_line import Tension, tension_in
from engine.pattern.text.known_unread import DRAWN, OFTEN, UNKNOWN, is_drawn, named_so, two_ways
from engine.pattern.text.layout import Laid
from engine.pattern.text.listed_rows import numbered_rows
from engine.pattern.text.messages import Told
from engine.pattern.text.numbers import Number, Spot
from engine.pattern.text.page_head import NO_TITLE, begins, is_title
from engine.pattern.text.row_items import Claim
from engine.pattern.text.sections import Headed, headed
from engine.pattern.text.sentence import Piece
from engine.pattern.text.size_line import bare_sizes, is_measure, sizes_in, sizes_told
from engine.pattern.text.statements import (
    MARK,
    Again,
    AsPart,
    AtOnce,
    Both,
    Even,
    Fabric,
    Forms,
    ForSizes,
    Heading,
    Note,
    OnLast,
    Repeat,
    RowLine,
    ShapeRows,
    Statement,
    StepLine,
    Talk,
    YarnLine,
)
from engine.pattern.text.talk import harmless, phrase, speaks, works
from engine.pattern.text.unwrap import LABEL
from engine.pattern.text.written import Written

WORK = (RowLine, Even, Repeat, ShapeRows, StepLine, YarnLine, AsPart, Both, AtOnce, Again)
_FRONT_MATTER = {"materials", "gauge", "sizes", "abbreviations", "notes"}


@dataclass(frozen=True, slots=True)
class Sorted:
    """A line, or a sentence of one, and what it is."""

    words: Written
    kind: str
    """heading, row, sentence, step, prose or unread."""
    said: tuple[Statement, ...] = ()
    label: str = ""
    why: str = ""
    part: str = ""
    problem: Exception | None = None
    section: str = ""
    """What kind of section it stands in."""


@dataclass
class _State:
    section: str = "front"
    begun: bool = False
    """Whether a loop has been made."""
    titled: bool = False
    sizes: tuple[str, ...] = ()
    gauged: bool = False
    founded: bool = False
    """Whether what was worked last is a cast-on."""
    part: str = ""
    out: list[Sorted] = field(default_factory=list)
    foreign: re.Pattern[str] | None = None
    """Words of work in the pattern's own language."""

    def working(self, text: str) -> bool:
        """Whether a text that is not read may move loops."""
        return works(text) or bool(self.foreign and self.foreign.search(text))


def sort_lines(
    lines: Sequence[Laid], terms: Terms, foreign: re.Pattern[str] | None = None
) -> list[Sorted]:
    """Every line, in order, as what it is. `foreign`: another language's words of work."""
    state = _State(foreign=foreign)
    numbered = dict(numbered_rows(lines, terms))
    for index, line in enumerate(lines):
        if line.text and not line.remark:
            words = numbered.get(index, line.words)
            first = len(state.out)
            _sort(state, line, words, terms)
            _marked(state, line, first)
    return list(_nothing_passed_over(state.out))


def _marked(state: _State, line: Laid, first: int) -> None:
    """Keep the `**` before or after a line with what it says."""
    if not any(line.marks) or first == len(state.out):
        return
    mark = Talk(MARK, line.words.spot(0))
    for index in [first - 1] * line.marks[0] + [len(state.out) - 1] * line.marks[1]:
        if index >= 0:
            state.out[index] = replace(state.out[index], said=(*state.out[index].said, mark))


_SAYS_ROWS = re.compile(
    r"\b(?:knit|purl|work|rib|rep(?:eat)?)\s+(?:the\s+)?(?:(?:last|next|these)\s+)?"
    r"(?:\d+|one|two|three|four|five|six|seven|eight|nine|ten|twelve)\s+(?:more\s+)?"
    r"(?:rows?|rnds?|rounds?)\b",
    re.I,
)


def _nothing_passed_over(lines: Sequence[Sorted]) -> Iterator[Sorted]:
    """What tells of so many rows, below the first loop, is work or asked about, whatever it is
    taken for: `Join in the round and knit 10 rows` is more than a word about rounds.
    """
    begun = False
    for line in lines:
        begun = begun or any(isinstance(s, WORK) for s in line.said)
        moves = any(isinstance(s, (*WORK, Fabric, Forms, Note, OnLast)) for s in line.said)
        passed = line.kind in {"heading", "prose"} and line.section not in _FRONT_MATTER
        if begun and passed and not moves and line.why != "it says what the rows are":
            text = line.words.text
            if _SAYS_ROWS.search(text) and not speaks(text) and not harmless(text):
                yield replace(line, kind="unread", said=(), problem=UNKNOWN)
                continue
        yield line


def _sort(state: _State, line: Laid, words: Written, terms: Terms) -> None:
    text = words.text
    labelled = bool(LABEL.match(text)) and not _ROW_MEANT.fullmatch(text)
    if is_drawn(text):
        state.begun = True
        _put(state, words, "unread", problem=Told(DRAWN))
        return
    if not state.begun and _IN_FIGURES.fullmatch(text):
        _put(state, words, "prose", why="it counts what the work below comes to")
        return
    if text.isdigit():
        _put(state, words, "prose", why="a number alone: a page's")
        return
    if not (state.begun or labelled or state.sizes) and (names := bare_sizes(text)):
        state.sizes = names
        _put(state, words, "heading", (Heading("sizes", words.spot(0), names=names),), "sizes")
        return
    said = attempt(words)
    if isinstance(said, tuple) and _as_it_stands(state, words, said):
        _take(state, words, said)
        return
    if not state.begun and not labelled and NO_TITLE.match(text) and not begins(text):
        _put(state, words, "prose", why="it stands around the pattern")
        return
    shaped = _SHAPING.fullmatch(text)
    if shaped and state.begun and not labelled:
        section = Heading("section", words.spot(0), f"Shape {shaped[1]}")
        _put(state, words, "heading", (section,), text)
        return
    head = None if labelled else headed(text, marked=line.heading)
    if not state.begun and not labelled and not state.titled and is_title(line, words, head):
        state.titled = True
        spot = words.spot(0)
        _put(state, words, "heading", (Heading("title", spot, text.strip(" -–—:.")),), "title")
        return
    if head and _heading(state, words, head, terms):
        return
    named = None if labelled else _NAMED.match(text)
    if named and LABEL.match(text, named.end()) and not works(named.group()):
        _put(state, words.cut(0, named.end()).strip(" :"), "prose", why="a name for its rows")
        words, labelled = words.cut(named.end()), True
    _content(state, words, terms, labelled=labelled)


_NAMED = re.compile(
    r"(?!(?:for|if|with|when|after|at|on|all|sizes?|notes?|n\.?b|tip|part|repeat|rep|chart)\b\W*(?!\w{1,2}\b))"
    r"[A-Z][A-Za-z'’&/ -]{1,30}?(?:\s(?:\d{1,2}|[A-Z]|[IVX]+))?\s*(?:[:.]|\s[–—-]|[–—])\s*",
)
"""`Section A: Rows 1-8: k`, `Lower edge - Row 1: p`: a name that is no piece's, before a label."""


_IN_FIGURES = re.compile(r"(?:rows|rnds|rounds|loops|sts|stitches)\s*[:=]\s*\d+\.?", re.I)
"""`Rows: 22` above the work."""
_ROW_MEANT = re.compile(r"r(?:n?d|ow)s?\.?\s*[:=–-]\s*(?:rounds?|rows?)(?:\(s\))?\.?", re.I)
"""`rnd: round` explains a word."""
_SHAPING = re.compile(
    r"(?:the\s+)?(?:front\s+|back\s+)?(armholes?|neck(?:line)?|shoulders?|raglans?|waist|sides?|cap)\s+"
    r"shapings?\s*[:.]?",
    re.I,
)
"""`Armhole shaping` as a heading: what is measured later begins there."""
_YARN_ENDS = re.compile(rf"[.;]\s+(?:fasten|cut|break)\b|(?<=\.)\s+(?-i:(?=[A-Z])){OFF}$", re.I)
"""After a row its yarn's end is a step of its own."""


def _as_it_stands(state: _State, words: Written, said: tuple[Statement, ...]) -> bool:
    """Whether a line is in the notation already, and means what it says there."""
    if not said or not clean(said) or all(isinstance(s, Claim) for s in said):
        return False
    if OFTEN.fullmatch(words.text):
        return False
    if isinstance(said[0], RowLine):
        return not _YARN_ENDS.search(words.text)
    if isinstance(said[0], Heading) and any(map(is_measure, said[0].names)):
        return False
    if isinstance(said[0], (Heading, Note, ForSizes)):
        return True
    if not state.begun and isinstance(said[0], StepLine) and said[0].kind in {"weave in", "finish"}:
        return False  # a title, or a heading above the materials
    return len(sentences(words.text)) == 2


def _take(state: _State, words: Written, said: tuple[Statement, ...]) -> None:
    """Statements as they were read."""
    for statement in said:
        if isinstance(statement, Heading):
            state.gauged = state.gauged or statement.kind == "gauge"
            state.titled = state.titled or statement.kind == "title"
            if statement.kind == "sizes":
                state.sizes = statement.names
            if statement.kind == "part":
                state.part, state.section = statement.text, "work"
        elif isinstance(statement, WORK):
            state.begun = True
            founded = isinstance(statement, StepLine) and statement.kind == "foundation"
            state.founded = founded
            front = state.section in _FRONT_MATTER or state.section == "front"
            if front or (founded and state.section == "patterns"):  # what is cast on is worked
                state.section = "work"
    if any(isinstance(s, Heading) and s.kind == "yarn" for s in said) and not state.gauged:
        said = (*said, *_gauge(state, words, words.spot(0)))
    kind = next(name for type_, name in _KINDS if any(isinstance(s, type_) for s in said))
    _put(state, words, kind, said, _label(words.text) if kind == "row" else "")


def _heading(state: _State, words: Written, head: Headed, terms: Terms) -> bool:
    """Take a heading and what it says on its own line; False where the line is none after all."""
    rest = words.cut(head.rest).strip()
    spot = words.spot(0)
    if head.kind == "piece" and rest.text and _NAMES.fullmatch(rest.text) and not works(rest.text):
        head, rest = replace(head, rest=len(words.text)), words.cut(len(words.text))
    if head.kind == "piece" and rest.text:
        found = pieces(rest, terms.spelled, bare=state.begun)
        if not any(p.said for p in found):
            return False
    if head.kind == "piece" and state.begun and not rest.text and words.text.endswith(":"):
        found = pieces(words.strip(" :"), terms.spelled)
        if all(p.said and not any(isinstance(s, (RowLine, Claim)) for s in p.said) for p in found):
            return False  # "Working each side separately:"
    if head.kind == "piece":
        state.section, state.part = "work", head.name
        name = words.cut(0, head.rest).strip(" :.–—-")
        _put(state, name, "heading", (Heading("section part", spot, head.name),), head.name)
        if rest.text:
            _content(state, rest, terms, labelled=bool(LABEL.match(rest.text)))
        return True
    if not rest.text or state.section not in {"work"} or not state.begun:
        state.section = head.kind
    if head.kind in {"work", "finishing"} and rest.text:
        _put(state, words.cut(0, head.rest).strip(), "heading", (), head.name)
        _content(state, rest, terms, labelled=bool(LABEL.match(rest.text)))
        return True
    if not rest.text:
        said = (Heading("section part", spot, head.name),) if head.kind == "finishing" else ()
        _put(state, words, "heading", said, head.name)
        return True
    _front_line(state, words, rest, head.kind)
    return True


_NAMES = re.compile(r"(?!knit\b|purl\b|work\b)[A-Za-z][a-z'’-]*(?:\s+[A-Za-z&'’-]+){0,3}")
"""`Section 2: Eyelets`: a name after a name."""


def _front_line(state: _State, words: Written, rest: Written, kind: str) -> None:
    """A line of materials, gauge, sizes or abbreviations."""
    said: tuple[Statement, ...] = ()
    why = ""
    spot = words.spot(0)
    if kind == "gauge" or (kind in {"materials", "notes", "front"} and not state.gauged):
        said = _gauge(state, rest, spot)
        if kind == "gauge" and not said:
            why = "no stitches and rows over a length"
    if kind in {"sizes", "materials"} and not (said or state.gauged):
        told = _GAUGE_WORD.search(rest.text)
        said = _gauge(state, rest.cut(told.end()), rest.spot(told.start())) if told else ()
    if not state.sizes:
        names = sizes_in(rest.text) if kind == "sizes" else sizes_told(rest.text)
        if names:
            state.sizes = names
            said = (*said, Heading("sizes", spot, names=names))
    as_heading = bool(said) or kind in _FRONT_MATTER - {"notes"}
    _put(state, words, "heading" if as_heading else "prose", said, kind, why=why)


_GAUGE_WORD = re.compile(r"\b(?:gauge|tension|maschenprobe|échantillon|muestra)\b", re.I)


def across_in(lines: Sequence[Sorted]) -> Tension | None:
    """A gauge that says how many stitches, and no rows; None where no line has one."""
    for line in lines:
        text = line.words.text
        if line.kind not in {"heading", "prose"}:
            continue
        told = _GAUGE_WORD.search(text)
        found = tension_in(text[told.end() :]) if told else None
        if found and found.rows is None:
            return found
    return None


def _gauge(state: _State, rest: Written, spot: Spot) -> tuple[Statement, ...]:
    found = tension_in(rest.text)
    if found is None or state.gauged or found.rows is None:
        return ()
    state.gauged = True
    over = found.over_cm
    rows = found.rows * over / found.rows_over_cm
    values = (found.loops, rows, over, 1.0)
    return (Heading("gauge", spot, numbers=tuple(Number((v,), spot) for v in values)),)


def _content(state: _State, words: Written, terms: Terms, *, labelled: bool) -> None:
    """A line that is no heading."""
    if not state.begun and begins(words.text):
        state.section = "work"
    if not labelled and defines(words.text):
        _put(state, words, "heading", (), "abbreviations")
        return
    front = not state.begun or state.section in _FRONT_MATTER
    if (
        front
        and not labelled
        and state.section in _FRONT_MATTER
        and (state.begun or not begins(words.text))
    ):
        if state.section == "abbreviations" and definitions_in(words.text):
            _put(state, words, "heading", (), "abbreviations")
            return
        _front_line(state, words, words, state.section)
        return
    if not (state.begun or labelled or state.gauged or begins(words.text)) and _gauge(
        state, words, words.spot(0)
    ):
        state.gauged = False
        _front_line(state, words, words, "front")
        return
    if not state.begun and _TENSION.match(words.text):
        _front_line(state, words, words, "front")
        return
    found = pieces(words, terms.spelled, bare=state.begun or begins(words.text))
    if (
        not state.begun
        and not labelled
        and not any(p.said and not all(isinstance(s, Claim) for s in p.said) for p in found)
        and not any(p.said is None and works(p.words.text) for p in found)
    ):
        _front_line(state, words, words, "front")
        return
    spanned = any(isinstance(s, _SPANNED) for p in found for s in p.said or ())
    for piece in found:
        if state.foreign and spanned and piece.said is None and _amid(words, piece):
            # another tongue's words beside how long it goes on may say otherwise
            _put(state, piece.words, "unread", problem=piece.problem or UNKNOWN)
            continue
        _piece(state, piece, terms, labelled=labelled)


def _amid(words: Written, piece: Piece) -> bool:
    """Whether a piece is no sentence of its own."""
    start = words.offset(piece.words.spot(0))
    before, text = words.text[:start].rstrip(), piece.words.text.rstrip()
    if harmless(text.rstrip(" :")):
        return False
    return before[-1:] not in {"", ".", "!", "?"} or text[-1:] not in {".", "!", "?", ":"}


_SPANNED = (Even, Repeat, ShapeRows)
_TENSION = re.compile(
    r"\s*\d+(?:\.5|½)?\s*(?:sts?|stitches|loops|rows|rnds)\b[^.;]{0,40}?(?:=|\bto\b|\bper\b|\bover\b|\bequals?\b|\bmake)\s*"
    r"(?:an?\s+|the\s+)?(?:\d[\d.½]*\s*)?(?:\"|in|inch|cm)",
    re.I,
)
"""A tension without a word before it: `14 stitches = 4 inches`."""


def _forms(match: re.Match[str], words: Written) -> Forms:
    said = match["last"] or match["to"] or match["count"] or match["again"] or ""
    value = _COUNTS.get(said.lower(), int(said) if said.isdigit() else None)
    spot = words.spot(0)
    number = Number((float(value),), spot) if value else None
    name = match["name"].strip()
    return Forms(number, "" if name in {"", "the", "this"} else name, spot)


_COUNTS = {
    w: n for n, w in enumerate(["row", "two", "three", "four", "five", "six", "seven", "eight"], 1)
}
_KINDS: tuple[tuple[type, str], ...] = (
    (RowLine, "row"),
    (Even, "sentence"),
    (Repeat, "sentence"),
    (ShapeRows, "sentence"),
    (AsPart, "sentence"),
    (Both, "sentence"),
    (AtOnce, "sentence"),
    (Again, "sentence"),
    (OnLast, "sentence"),
    (StepLine, "step"),
    (YarnLine, "step"),
    (Claim, "step"),
    (Fabric, "sentence"),
    (Heading, "heading"),
    (ForSizes, "heading"),
    (Note, "prose"),
)


_GAUGE_SAID = re.compile(r"[(\[]?(?:tension|gauge)\b\W{0,3}\d", re.I)


def _piece(state: _State, piece: Piece, terms: Terms, *, labelled: bool) -> None:
    words = piece.words
    if piece.said is None and _GAUGE_SAID.match(words.text):
        _front_line(state, words, words, "gauge")
        return
    often = OFTEN.fullmatch(words.text)
    if often and state.begun and piece.said:
        _put(state, words, "unread", problem=two_ways(often))
        return
    forms = phrase("forming").match(words.text)
    if forms and (piece.said is None or isinstance(piece.said[0], Repeat)):
        _put(state, words, "prose", (_forms(forms, words),), why="it says what the rows are")
        return
    if piece.said is None:
        unread = state.working(words.text) or (labelled and bool(LABEL.match(words.text)))
        casts_on = bool(_CASTS_ON_SO.match(words.text))
        unread = unread and (state.begun or labelled or casts_on or begins(words.text))
        in_their_words = state.foreign and state.foreign.search(words.text)
        unread = unread and not (piece.beside and not in_their_words)
        unread = unread and not (state.founded and casts_on)
        spoken = state.section in _FRONT_MATTER and not labelled
        if unread and not spoken:
            state.begun = True
            problem = named_so(words.text, terms) or piece.problem or UNKNOWN
            _put(state, words, "unread", (), _label(words.text), problem=problem)
            return
        said = (Talk(" ".join(words.text.split()), words.spot(0)),) if state.begun else ()
        _put(state, words, "prose", said, why="it moves no loop")
        return
    if not piece.said:
        return
    _take(state, words, piece.said)


_CASTS_ON_SO = re.compile(
    r"(?:now\s+|then\s+)?(?:cast\s+on|co)\s+(?:loosely\s+)?(?:the\s+)?(?:sts|stitches|loops|number|required|correct)\b"
    r"(?![^.;]*\d)",
    re.I,
)
"""`Cast on the number of sts for your size`: as many as a table says."""


def _label(text: str) -> str:
    match = LABEL.match(text)
    return match.group().strip(" :.)=–—-*([") if match else ""


def _put(
    state: _State,
    words: Written,
    kind: str,
    said: tuple[Statement, ...] = (),
    label: str = "",
    *,
    why: str = "",
    problem: Exception | None = None,
) -> None:
    state.out.append(Sorted(words, kind, said, label, why, state.part, problem, state.section))
