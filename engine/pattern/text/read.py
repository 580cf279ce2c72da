"""Reads the text of a pattern, as its author wrote it and as it was pasted.

The text is laid out in lines (`layout`), broken lines are put together (`unwrap`), and each is
sorted (`sorting`): heading, row, sentence about rows, step, talk, or not read. A line that is not
read keeps its place; the others are still read, so that one slip of the pen does not hide the rest.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any

from engine.base.heap import uncollected
from engine.base.refusal import Refusal
from engine.pattern.text.alternate import with_alternate
from engine.pattern.text.attempt import LINE_AT_MOST
from engine.pattern.text.claims import with_counts
from engine.pattern.text.commas import uncommaed
from engine.pattern.text.definitions import Terms, defines, definitions_in, terms_of
from engine.pattern.text.for_sizes import for_sizes_apart
from engine.pattern.text.gauge_line import Tension
from engine.pattern.text.grammar import grammar, parse
from engine.pattern.text.language import in_english, language_of, working_in
from engine.pattern.text.layout import Laid, lay_out
from engine.pattern.text.messages import Told, Unread, unread
from engine.pattern.text.middle import with_middle
from engine.pattern.text.numbered_steps import with_steps
from engine.pattern.text.numbers import Spot, numbers_in
from engine.pattern.text.one_size import of_one_size
from engine.pattern.text.page_head import begins
from engine.pattern.text.parts import in_parts
from engine.pattern.text.row_items import Hold, Stitch, Toward, Turn, Until
from engine.pattern.text.section_repeats import with_sections
from engine.pattern.text.sections import chart_name, headed
from engine.pattern.text.signs import visible
from engine.pattern.text.slashes import unslashed
from engine.pattern.text.sorting import Sorted, across_in, sort_lines
from engine.pattern.text.statements import (
    AsPart,
    AtOnce,
    Even,
    ForSizes,
    Heading,
    OnLast,
    Repeat,
    RowLine,
    ShapeRows,
    Statement,
    StepLine,
    Talk,
    YarnLine,
)
from engine.pattern.text.told_first import with_first
from engine.pattern.text.unwrap import LABEL, unwrapped
from engine.script import wording
from models.text import legible_lines

__all__ = ["BYTES_AT_MOST", "LINE_AT_MOST", "Pattern", "Unread", "by_size", "read"]

BYTES_AT_MOST = 1_000_000
LINES_AT_MOST = 20_000
WEAVE_IN = wording.WEAVE_IN


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
    lines: tuple[Sorted, ...] = ()
    """Every line, or sentence of one, and what it was taken for."""
    needles: bool = False
    """Whether it is worked with needles."""
    kept: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)
    """What the counting of one size leaves for the next, by whose it is."""

    @property
    def title(self) -> str:
        """Its title, or a plain word where it has none."""
        return self.headings["title"].text if "title" in self.headings else "Written pattern"

    @property
    def tension(self) -> Tension | None:
        """What its gauge says across, where it says no rows."""
        return None if "gauge" in self.headings else across_in(self.lines)


_ORDINALS = tuple(
    f"{n}{'st' if n == 1 else 'nd' if n == 2 else 'rd' if n == 3 else 'th'} size"
    for n in range(1, 13)
)
_ABBREVIATIONS = re.compile(r"\babbreviations?\b(?:\s+used)?\s*[:.—–-]+", re.I)
_ENTRELAC = re.compile(r"\bentrelac\b", re.I)
_BLOCKS = re.compile(r"\b(?:triangles?|blocks?|tiers?|rectangles?)\b.*\bturn\b", re.I)
_NO_ENTRELAC = (
    "entrelac, whose blocks are worked to and fro on a few stitches of a row, is not counted from "
    "one sentence; write each of its short rows on a line, with turn at its end"
)
_SINGLE = {"title", "craft", "gauge", "design", "ball", "yarn"}
_WORKED = (RowLine, Even, Repeat, ShapeRows, StepLine, AsPart)


@lru_cache(maxsize=4)
@uncollected()
def read(text: str) -> Pattern:
    """The pattern of a text, which each of its sizes asks for again.

    Raises Refusal for one too large, or without a single row.
    """
    # As a plan keeps it, so that what is checked and what is worked are the same lines.
    text = legible_lines(visible(text))
    if len(text.encode("utf-8", "replace")) > BYTES_AT_MOST:
        raise Refusal(
            f"The pattern is larger than {BYTES_AT_MOST // 1000} kB: that is no pattern, or it is "
            "many; give one at a time."
        )
    grammar()  # compiled here, so that a mistake of the grammar's own is not taken for a slip
    language = language_of(text)
    lines = unwrapped(uncommaed(unslashed(in_english(lay_out(text), language))))
    lines = _cast_on_first(for_sizes_apart(with_counts(lines)))
    if len(lines) > LINES_AT_MOST:
        raise Refusal(f"The pattern has more than {LINES_AT_MOST} lines: give less at a time.")
    told = with_steps(sort_lines(lines, _terms(lines), working_in(language)), lines)
    told = with_first(with_sections(told))
    if _ENTRELAC.search(text):
        told = [
            replace(t, problem=Told(_NO_ENTRELAC)) if _BLOCKS.search(t.words.text) else t
            for t in told
        ]
    told = _onward(in_parts(with_alternate(told)))
    statements: list[Scoped] = []
    block: tuple[str, ...] = ()
    headings: dict[str, Heading] = {}
    sizes: tuple[str, ...] = ("one size",)
    for line in told:
        scope = block
        for statement in line.said:
            if isinstance(statement, ForSizes):
                scope = statement.names
                block = scope if len(line.said) == 1 else block
            elif isinstance(statement, Heading) and statement.kind in _SINGLE:
                headings[statement.kind] = statement
            elif isinstance(statement, Heading) and statement.kind == "sizes":
                sizes = statement.names
            else:
                statements.append(Scoped(scope, statement))
    statements = _in_middle(_put_aside(_other_side(statements)))
    sizes = sizes if len(sizes) > 1 else _unnamed_sizes(statements) or sizes
    problems = tuple(unread(t.problem, t.words) for t in told if t.kind == "unread" and t.problem)
    if not any(isinstance(s.said, _WORKED) for s in statements) and not problems:
        raise Refusal(
            "There is no row in this text: write at least a foundation and a row, as in "
            "'Cast on 20 loops.' and 'Row 1: knit.'"
        )
    if len(sizes) == 1:
        statements = [replace(s, said=of_one_size(s.said)) for s in statements]
    return Pattern(
        tuple(statements), problems, sizes, headings, tuple(told), _needles(text, headings)
    )


_CO = re.compile(r"^((?:(?:using|with)\b[^,]*,\s*)?)C/O\s+(?=\d)", re.I)
_CAST = re.compile(r"\b(?:cast\s+on|co)\b", re.I)


def _cast_on_first(lines: Sequence[Laid]) -> list[Laid]:
    """`C/O 4 sts` is a cast-on where none stands above it; below one it may be a casting off."""
    out = list(lines)
    for index, line in enumerate(out):
        if _CAST.search(line.text) and not line.remark:
            break
        if _CO.match(line.text):
            out[index] = replace(line, words=line.words.sub(_CO, r"\1cast on "))
            break
    return out


_CONTINUES = re.compile(
    r"(?:(?:now|then|and)\s+)*(?:cont(?:inue)?|keep|carry|go\s+on|proceed)\b", re.I
)
_EVEN = re.compile(r"\b(?:even|straight|without)\b", re.I)


def _onward(told: Sequence[Sorted]) -> list[Sorted]:
    """The lines, with a mark on each `continue until …` right below rows by their numbers."""
    out: list[Sorted] = []
    numbered = False
    for line in told:
        first = line.said[0] if line.said else None
        if numbered and isinstance(first, Even) and not (first.style or first.of or first.border):
            text = line.words.text
            if _CONTINUES.match(text) and not _EVEN.search(text):
                line = replace(line, said=(replace(first, onward=True), *line.said[1:]))  # noqa: PLW2901
        for statement in line.said:
            if isinstance(statement, (*_WORKED, Heading)):
                numbered = isinstance(statement, RowLine) and statement.kind == "numbered"
        out.append(line)
    return out


def _put_aside(statements: Sequence[Scoped]) -> list[Scoped]:
    """`K46, turn. Place remaining 46 sts on a holder`: the row leaves them there."""
    out: list[Scoped] = []
    opened: set[Spot] = set()
    for scoped in statements:
        said, last = scoped.said, out[-1].said if out else None
        hold = said.items[0] if isinstance(said, YarnLine) and len(said.items) == 1 else None
        if (
            isinstance(hold, Hold)
            and isinstance(last, RowLine)
            and hold.stitch == "rest"
            and not hold.next
            and len(last.row.items) > 1
            and isinstance(turned := last.row.items[-1], Turn)
            and not turned.wraps
            and not _heel_within(hold, [s.said for s in out[-2:]])
        ):
            aside = replace(hold, number=None if hold.keep else hold.number, keep=False)
            row = replace(last.row, items=(*last.row.items[:-1], aside))
            out[-1] = replace(out[-1], said=replace(last, row=row))
            continue
        if _is_off(said):
            at = next((n for n, s in enumerate(reversed(out)) if not isinstance(s.said, Talk)), 0)
            if out and _is_off(out[-1 - at].said):
                del out[-1 - at]  # "BINDING OFF" as a heading, and then how it is done
        if isinstance(said, ShapeRows) and isinstance(last, AtOnce) and last.spot in opened:
            out[-1] = replace(out[-1], said=replace(last, said=(*last.said, said)))
            continue
        if isinstance(said, AtOnce) and not said.said:
            opened.add(said.spot)  # "shape neck as follows:", and what follows says it
        if isinstance(said, OnLast):
            if isinstance(last, (Even, Repeat)) and last.last is None:
                out[-1] = replace(out[-1], said=replace(last, last=said.shape))
                continue
            scoped = replace(scoped, said=said.shape)  # noqa: PLW2901
        out.append(scoped)
    return out


def _is_off(said: Statement | None) -> bool:
    """Whether it binds off all there is."""
    return isinstance(said, StepLine) and said.kind == "bind off" and said.said_all


def _other_side(statements: Sequence[Scoped]) -> list[Scoped]:
    """`Slip centre 20 sts on a holder, rejoin yarn, k to end. Complete to match first side`: that
    row across is the first one of the side that is matched, and worked with it.
    """
    out = list(statements)
    for index, (scoped, after) in enumerate(pairwise(statements)):
        said, match = scoped.said, after.said
        if not (isinstance(said, RowLine) and said.kind == "next" and isinstance(match, AsPart)):
            continue
        if match.name not in {"first side", "the first side", "side"} or len(said.row.items) != 2:
            continue
        hold, across = said.row.items
        if not (isinstance(hold, Hold) and hold.stitch == "rest" and hold.next):
            continue
        if not isinstance(across, Toward) or across.parts != (("k", 1),):
            continue
        limit = across.limit
        if limit and limit.until is Until.LAST and not limit.short:
            out[index] = replace(scoped, said=YarnLine((hold,), said.spot))
    return out


def _in_middle(statements: Sequence[Scoped]) -> list[Scoped]:
    """The statements, where the middle of a row is worked alone; not looked for by size."""
    if any(s.names for s in statements):
        return list(statements)
    return [Scoped((), said) for said in with_middle([s.said for s in statements])]


def _heel_within(hold: Hold, rows: Sequence[Statement]) -> bool:
    """Whether the row is one of two that turn at the ends of a heel, over its round's beginning.

    `K10, turn. The heel is worked over 20 sts`, and `Sl 1, p19, turn. Leave the other 20`.
    """
    both = [r for r in rows if isinstance(r, RowLine)]
    if len(both) == 2 and all(r.row.items and isinstance(r.row.items[-1], Turn) for r in both):
        return hold.number is not None
    counted = [i.count.values for i in both[-1].row.items if isinstance(i, Stitch) and i.count]
    return bool(hold.keep and hold.number and counted == counted[:1] != [hold.number.values])


def _unnamed_sizes(statements: Sequence[Scoped]) -> tuple[str, ...]:
    """Sizes of a text whose numbers are lists, all of one length, and which names none."""
    plain = {len(n.values) for s in statements for n in numbers_in(of_one_size(s.said))} - {1}
    if not plain:
        return ()  # "x 9 [81]" at the end of a row is its count
    lengths = {len(n.values) for s in statements for n in numbers_in(s.said)} - {1}
    if len(lengths) != 1 or max(lengths) > len(_ORDINALS):
        return ()
    return _ORDINALS[: lengths.pop()]


def _terms(lines: Sequence[Laid]) -> Terms:
    """The abbreviations that the pattern explains, wherever it does."""
    meanings: dict[str, str] = {}
    stitches: list[str] = []
    inside = begun = False
    name = ""
    for line in lines:
        if not line.text or line.remark:
            continue
        labelled = bool(LABEL.match(line.text))
        head = None if labelled else headed(line.text, marked=line.heading)
        begun = begun or begins(line.text)
        if chart_name(line.text) or (head and begun):
            name = head.name if head and head.kind == "patterns" else ""
        charted = name.lower().startswith("chart ") or name.lower().endswith(" chart")
        if (charted or not begun) and labelled:
            stitches += [name] if name and name not in stitches else []
        elif head and head.kind in {"piece", "patterns"}:
            name = head.name
        listed = _ABBREVIATIONS.search(line.text)
        if listed and not head:
            meanings.update(definitions_in(line.text[listed.end() :]))
        if head:
            inside = head.kind == "abbreviations"
            if inside:
                meanings.update(definitions_in(line.text[head.rest :]))
        elif inside and labelled:
            inside = False
        elif inside or defines(line.text):
            meanings.update(definitions_in(line.text))
    return terms_of(meanings, stitches)


def _needles(text: str, headings: dict[str, Heading]) -> bool:
    """Whether it is worked with needles: it says so, or speaks of needles or of stitches only."""
    if "craft" in headings:
        return headings["craft"].text == "needles"
    from engine.pattern.text.craft import with_needles

    return with_needles(text)


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
