"""The grammar in pattern.lark, and what each of its rules comes to as a value."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any, TypeVar

from lark import Lark, Token, Transformer

from engine.pattern import words
from engine.pattern.stars import Run, YarnHeld, fold, row_of
from engine.pattern.tree import (
    AsRow,
    Claim,
    Ending,
    Even,
    Filler,
    ForSizes,
    Group,
    Heading,
    Hold,
    Item,
    Limit,
    Marker,
    Marks,
    Note,
    Number,
    Parts,
    Range,
    Repeat,
    RepFrom,
    Row,
    RowLine,
    Shape,
    ShapeRows,
    Slip,
    Span,
    Spot,
    Star,
    StepLine,
    Stitch,
    Times,
    Toward,
    Turn,
    Turns,
    Until,
    YarnLine,
)
from engine.sizes import CM_PER_INCH

_T = TypeVar("_T")


def spot_of(children: Iterable[Any]) -> Spot:
    """The place of the first child that has one."""
    for child in children:
        if isinstance(child, Token):
            return Spot(child.line or 1, child.column or 1)
        spot = getattr(child, "spot", None)
        if isinstance(spot, Spot):
            return spot
    return Spot(1, 1)


def _one(children: Iterable[Any], kind: type[_T]) -> _T | None:
    return next((c for c in children if isinstance(c, kind)), None)


def _all(children: Iterable[Any], kind: type[_T]) -> tuple[_T, ...]:
    return tuple(c for c in children if isinstance(c, kind))


def _said(children: Iterable[Any], *kinds: str) -> Token | None:
    return next((c for c in children if isinstance(c, Token) and c.type in kinds), None)


def _step_of(children: Iterable[Any]) -> int:
    """`every 4th`: 4; `every other` and `every alt`: 2; `every`: 1."""
    nth = _said(children, "ORDINAL")
    if nth:
        return max(1, words.ordinal(nth))
    return 2 if _said(children, "OTHER") else 1


def _nth(children: Iterable[Any]) -> Number | None:
    token = _said(children, "ORDINAL")
    if token is None:
        return None
    return Number((float(words.ordinal(token)),), spot_of([token]), str(token))


@dataclass(frozen=True)
class _Op:
    parts: Parts
    spot: Spot
    plain: bool = False


@dataclass(frozen=True)
class _Count:
    number: Number | None


@dataclass(frozen=True)
class _Named:
    text: str


@dataclass(frozen=True)
class _SizeNames:
    names: tuple[str, ...]


@dataclass(frozen=True)
class _Where:
    where: str


@dataclass(frozen=True)
class _Mark:
    side: str | None = None
    direction: str | None = None
    name: str = ""


@dataclass(frozen=True)
class _Unit:
    cm: float


@dataclass(frozen=True)
class _Label:
    kind: str
    rounds: bool
    spot: Spot
    ranges: tuple[Range, ...] = ()
    fillers: tuple[Filler, ...] = ()
    number: Number | None = None
    side: str | None = None
    name: str = ""


@dataclass(frozen=True)
class _Rib:
    knit: Number
    purl: Number


@dataclass(frozen=True)
class _Style:
    name: str


@dataclass(frozen=True)
class _About:
    number: Number


@dataclass(frozen=True)
class _EndSide:
    side: str


@dataclass(frozen=True)
class _RowsMeant:
    kind: str
    ranges: tuple[Range, ...] = ()
    number: Number | None = None
    name: str = ""


@dataclass(frozen=True)
class _Tail:
    """Stitches of a lone line about the yarn's ends."""

    op: _Op


def _clean(text: str) -> str:
    return " ".join(text.split())


def _mark_of(said: str) -> str:
    """The asterisks alone: "between *s" means the same one."""
    return said.rstrip("'s")


def _row_name(said: str) -> str:
    """`Dec rnd` and `decrease row` are the same row."""
    first = said.lower().replace("this ", "").split()[0].replace("-", "")
    return {"decrease": "dec", "increase": "inc", "set": "setup", "patt": "pattern"}.get(
        first, first
    )


class _Lines(Transformer[Token, Any]):
    """Grammar rules to values, one method a rule."""

    # -------------------------------------------------------- numbers and words
    def number(self, c: list[Any]) -> Number:
        return words.number(c[0], spot_of(c))

    def unit(self, c: list[Any]) -> _Unit:
        return _Unit(1.0 if c[0].type == "CM" else CM_PER_INCH)

    def other_unit(self, _c: list[Any]) -> _Where:
        return _Where("the same length in another unit")

    def name(self, c: list[Any]) -> _Named:
        return _Named(_clean(c[0].strip('"')))

    def at(self, c: list[Any]) -> _Named:
        named = _one(c, _Named)
        return named if named else _Named(_clean(c[-1].strip('"')))

    def size_name(self, c: list[Any]) -> _SizeNames:
        return _SizeNames((" ".join(c),))

    def side(self, c: list[Any]) -> _Mark:
        return _Mark(side="RS" if c[0].type == "RS" else "WS")

    def no_side(self, _c: list[Any]) -> _Mark:
        return _Mark(side="")

    def direction(self, c: list[Any]) -> _Mark:
        said = _clean(c[0].lower())
        return _Mark(direction="" if c[0].type == "EITHER_WAY" else said)

    # -------------------------------------------------------- a row's items
    def _op(self, parts: Parts, c: list[Any], plain: bool = False) -> _Op:
        return _Op(parts, spot_of(c), plain)

    def knit(self, c: list[Any]) -> _Op:
        return self._op((("k", 1),), c, True)

    def purl(self, c: list[Any]) -> _Op:
        return self._op((("p", 1),), c, True)

    def work(self, c: list[Any]) -> _Op:
        return self._op((("work", 1),), c, True)

    def together(self, c: list[Any]) -> _Op:
        return self._op(words.together(c[0]), c)

    def plain(self, c: list[Any]) -> _Op:
        return self._op(words.one_word(c[0]), c)

    def slip_kwise(self, c: list[Any]) -> _Op:
        wise = "sl kwise" if "k" in c[0].lower() else "sl pwise"
        return self._op(((wise, 1),), c)

    def slip(self, c: list[Any]) -> _Op:
        return self._op((("sl", 1),), c)

    def decrease(self, c: list[Any]) -> _Op:
        return self._op((("dec", 1),), c)

    def increase(self, c: list[Any]) -> _Op:
        return self._op((("inc", 1),), c)

    def bind_off(self, c: list[Any]) -> _Op:
        return self._op((("bo", 1),), c)

    def cast_on(self, c: list[Any]) -> _Op:
        return self._op((("co", 1),), c)

    def pick_up(self, c: list[Any]) -> _Op:
        return self._op((("pick up", 1),), c)

    def chain(self, c: list[Any]) -> _Op:
        return self._op((("seam", 1),), c)

    def tail(self, c: list[Any]) -> _Op:
        return self._op((("tail", 1),), c)

    def join(self, c: list[Any]) -> _Op:
        return self._op((("join", 1),), c)

    def fasten(self, c: list[Any]) -> _Op:
        return self._op((("fasten", 1),), c)

    def place_marker(self, c: list[Any]) -> Marker:
        return Marker(spot_of(c), _one(c, Number), bool(_said(c, "BEFORE")))

    def count(self, c: list[Any]) -> _Count:
        return _Count(_one(c, Number))

    def count_one(self, c: list[Any]) -> _Count:
        return _Count(Number((1.0,), spot_of(c)))

    def yarn_held(self, c: list[Any]) -> YarnHeld:
        return YarnHeld(c[0].type.lower())

    def times(self, c: list[Any]) -> Times:
        number = _one(c, Number)
        if number is None:
            number = words.number(c[0], spot_of(c))
        return Times(number, bool(_said(c, "MORE")))

    def times_more(self, c: list[Any]) -> Times:
        return Times(c[0], True)

    def manner(self, c: list[Any]) -> Token:
        token: Token = c[0]
        return token

    def to_end(self, _c: list[Any]) -> Limit:
        return Limit(Until.LAST, None, at_least_all=True)

    def to_last(self, c: list[Any]) -> Limit:
        return Limit(Until.LAST, _one(c, Number) or Number((1.0,), spot_of(c)))

    def to_marker(self, c: list[Any]) -> Limit:
        return Limit(Until.MARKER, _one(c, Number))

    def evenly(self, _c: list[Any]) -> _Where:
        return _Where("evenly")

    def at_each_end(self, _c: list[Any]) -> _Where:
        return _Where("each end")

    def at_beg(self, _c: list[Any]) -> _Where:
        return _Where("beginning")

    def at_end(self, _c: list[Any]) -> _Where:
        return _Where("end")

    def _with_manner(self, parts: Parts, c: list[Any]) -> Parts:
        """`sl 1 wyif`, `k3 tbl`: the manner is part of the stitch's name in the table."""
        said = [t.type for t in c if isinstance(t, Token)]
        if len(parts) > 1:
            return parts
        stitch, times = parts[0]
        if stitch == "sl":
            for manner in ("WYIF", "WYIB", "KWISE", "PWISE"):
                if manner in said:
                    return ((f"sl {manner.lower()}", times),)
        if "TBL" in said and stitch in {"k", "p"}:
            return ((f"{stitch} tbl", times),)
        return parts

    def stitch(self, c: list[Any]) -> Item:
        op, count, times, at = c[0], _one(c, _Count), _one(c, Times), _one(c, _Named)
        text = at.text if at else ""
        if isinstance(op, Marker):
            number = op.number or (count.number if count else None)
            return replace(op, at=text, number=number)
        parts = self._with_manner(op.parts, c)
        if count and count.number is None:
            return Toward(parts, Limit(Until.LAST, None, at_least_all=True), op.spot)
        return Stitch(
            parts,
            op.spot,
            count.number if count else None,
            times,
            text,
            bare=op.plain and count is None and times is None and not _said(c, "INTO"),
        )

    def toward(self, c: list[Any]) -> Item:
        if isinstance(c[0], Marker):
            return c[0]
        limit = _one(c, Limit) or Limit(Until.LAST, None, at_least_all=True)
        return Toward(self._with_manner(c[0].parts, c), limit, c[0].spot)

    def run(self, c: list[Any]) -> Run:
        limit = _one(c, Limit)
        assert limit is not None  # by the grammar
        return Run(self.stitch([i for i in c if i is not limit]), limit)

    def in_each(self, c: list[Any]) -> Item:
        return self.toward(c)

    def shape(self, c: list[Any]) -> Item:
        op, count, where = c[0], _one(c, _Count), _one(c, _Where)
        if isinstance(op, Marker) or where is None:
            return Shape("pm", None, "each end", spot_of(c))
        return Shape(op.parts[0][0], count.number if count else None, where.where, op.spot)

    def group(self, c: list[Any]) -> Item:
        spot = spot_of(c)
        slips: list[Slip] = []
        ends = (Times, Limit)
        items = fold([i for i in c if not isinstance(i, (Token, *ends))], slips)
        times, limit = _one(c, Times), _one(c, Limit)
        for item in items:
            if isinstance(item, Group):
                slips.extend(item.slips)
        return Group(items, spot, times, limit, into=bool(_said(c, "INTO")), slips=tuple(slips))

    def star(self, c: list[Any]) -> Star:
        return Star(_mark_of(c[0]), spot_of(c), _one(c, Times))

    def rep_from(self, c: list[Any]) -> RepFrom:
        mark = _said(c, "STAR")
        return RepFrom(_mark_of(mark or ""), spot_of(c), _one(c, Times), _one(c, Limit))

    def ending(self, c: list[Any]) -> Ending:
        return Ending(spot_of(c))

    def row_range(self, c: list[Any]) -> Range:
        numbers = _all(c, Number)
        return Range(numbers[0], numbers[-1])

    def number_th(self, c: list[Any]) -> Range:
        number = Number((float(words.ordinal(c[0])),), spot_of(c))
        return Range(number, number)

    def ordinals(self, c: list[Any]) -> list[Range]:
        return list(_all(c, Range))

    def as_row(self, c: list[Any]) -> AsRow:
        ranges = list(_all(c, Range)) + [r for i in c if isinstance(i, list) for r in i]
        name = _said(c, "NAMED_ROW")
        return AsRow(
            tuple((r.first, r.last) for r in ranges), _row_name(name) if name else "", spot_of(c)
        )

    def turn(self, c: list[Any]) -> Turn:
        return Turn(spot_of(c))

    def claim(self, c: list[Any]) -> Claim:
        number = _one(c, Number)
        assert number is not None  # the grammar has no claim without one
        return Claim(number, number.spot)

    def rest(self, c: list[Any]) -> Hold:
        name = _one(c, _Named)
        return Hold("rest", _one(c, Number), (name.text if name else "holder",), spot_of(c))

    def resume(self, c: list[Any]) -> Hold:
        return Hold("resume", _one(c, Number), tuple(n.text for n in _all(c, _Named)), spot_of(c))

    def pair(self, c: list[Any]) -> Hold:
        return Hold("pair", _one(c, Number), tuple(n.text for n in _all(c, _Named)), spot_of(c))

    # -------------------------------------------------------- rows
    def row_body(self, c: list[Any]) -> Row:
        return row_of(c, spot_of(c))

    def unopened(self, c: list[Any]) -> Row:
        index = next(i for i, child in enumerate(c) if isinstance(child, Times))
        slips: list[Slip] = []
        spot = spot_of(c)
        inside = fold([i for i in c[:index] if not isinstance(i, Token)], slips)
        group = Group(inside, spot, c[index])
        slip = Slip(
            spot,
            "a bracket is closed that was never opened; it is read as open from the row's start",
            "put ( where the repeat begins",
        )
        return row_of([group, *c[index + 1 :]], spot, (*slips, slip))

    def every_other(self, c: list[Any]) -> Filler:
        mark = _one(c, _Mark)
        step = 2 if mark else _step_of(c)
        return Filler(step, mark.side if mark else None, _one(c, Number))

    def _label(self, kind: str, c: list[Any], **more: Any) -> _Label:
        rows = _said(c, "ROWS", "NAMED_ROW", "OTHER_ROWS")
        rounds = rows is not None and "r" in rows.lower() and "n" in rows.lower()
        rounds = rounds and ("rnd" in rows.lower() or "round" in rows.lower())  # type: ignore[union-attr]
        return _Label(kind, rounds, spot_of(c), **more)

    def of_parity(self, c: list[Any]) -> _Label:
        rows = _one(c, Range)
        assert rows is not None  # by the grammar
        filler = Filler(2, None, rows.last)
        return self._label("numbered", c, fillers=(filler,), number=rows.first)

    def numbered(self, c: list[Any]) -> _Label:
        ranges = [*_all(c, Range), *(r for i in c if isinstance(i, list) for r in i)]
        return self._label("numbered", c, ranges=tuple(ranges), fillers=_all(c, Filler))

    def next_rows(self, c: list[Any]) -> _Label:
        mark = _one(c, _Mark)
        return self._label("next", c, number=_one(c, Number), side=mark.side if mark else None)

    def named(self, c: list[Any]) -> _Label:
        return self._label("named", c, name=_row_name(c[0]))

    def all_of_side(self, c: list[Any]) -> _Label:
        mark = _one(c, _Mark)
        return self._label("side", c, side=mark.side if mark else None)

    def all_others(self, c: list[Any]) -> _Label:
        return self._label("others", c)

    def marks(self, c: list[Any]) -> Marks:
        side = direction = None
        name = ""
        for child in c:
            if isinstance(child, _Mark):
                side = child.side if child.side is not None else side
                direction = child.direction if child.direction is not None else direction
            elif isinstance(child, Token) and child.type == "NAMED_ROW":
                name = _row_name(child)
        return Marks(side, direction, name, spot_of(c))

    def row_line(self, c: list[Any]) -> RowLine:
        label, mark, row = c[0], _one(c, _Mark), c[-1]
        marks = row.marks or (Marks(mark.side) if mark else None)
        return RowLine(
            label.kind,
            label.rounds,
            row,
            label.spot,
            label.ranges,
            label.fillers,
            label.number,
            label.side,
            label.name or (marks.name if marks else ""),
            marks,
        )

    # -------------------------------------------------------- headings
    def _text(self, kind: str, c: list[Any]) -> Heading:
        return Heading(kind, spot_of(c), text=_clean(c[-1]))

    def title(self, c: list[Any]) -> Heading:
        return self._text("title", c)

    def design(self, c: list[Any]) -> Heading:
        return self._text("design", c)

    def yarn(self, c: list[Any]) -> Heading:
        return self._text("yarn", c)

    def part(self, c: list[Any]) -> Heading:
        return self._text("part", c)

    def level(self, c: list[Any]) -> Heading:
        return self._names("level", c)

    def mirrored(self, c: list[Any]) -> Heading:
        return self._names("mirrored", c)

    def _names(self, kind: str, c: list[Any]) -> Heading:
        names = tuple(_clean(name) for name in str(c[-1]).rstrip(". ").split(","))
        return Heading(kind, spot_of(c), names=names)

    def craft(self, c: list[Any]) -> Heading:
        return Heading("craft", spot_of(c), "needles" if c[-1].type == "NEEDLES" else "loop yarn")

    def sizes(self, c: list[Any]) -> Heading:
        names = tuple(n for s in _all(c, _SizeNames) for n in s.names)
        return Heading("sizes", spot_of(c), names=names)

    def gauge_of(self, c: list[Any]) -> tuple[Number, ...]:
        unit = _one(c, _Unit)
        over = _all(c, Number)[2:]
        cm = Number((unit.cm if unit else 1.0,), spot_of(c))
        return (*_all(c, Number)[:2], *(over or (Number((10.0,), spot_of(c)),)), cm)

    def gauge(self, c: list[Any]) -> Heading:
        return Heading("gauge", spot_of(c), numbers=c[-1])

    def ball(self, c: list[Any]) -> Heading:
        return Heading("ball", spot_of(c), numbers=_all(c, Number))

    def finished(self, c: list[Any]) -> Heading:
        name = _clean(c[0].split(None, 1)[1].rstrip().rstrip(":"))
        unit = _one(c, _Unit)
        along = "across" if _said(c, "WIDE") else "up" if _said(c, "HIGH") else ""
        return Heading(
            "finished", spot_of(c), name, (along,), _all(c, Number), unit.cm if unit else 1.0
        )

    def section(self, c: list[Any]) -> Heading:
        return Heading("section", spot_of(c), str(c[0]))

    def length(self, c: list[Any]) -> Heading:
        numbers = _all(c, Number)
        return Heading("length", spot_of(c), "open" if _said(c, "OPEN") else "rows", (), numbers)

    def in_round(self, c: list[Any]) -> Heading:
        return Heading("worked", spot_of(c), "round")

    def flat(self, c: list[Any]) -> Heading:
        return Heading("worked", spot_of(c), "flat")

    def for_sizes(self, c: list[Any]) -> ForSizes:
        return ForSizes(tuple(n for s in _all(c, _SizeNames) for n in s.names), spot_of(c))

    def all_sizes(self, c: list[Any]) -> ForSizes:
        return ForSizes((), spot_of(c))

    def note(self, c: list[Any]) -> Note:
        names = tuple(n for s in _all(c, _SizeNames) for n in s.names)
        return Note(_clean(c[-1]), names, spot_of(c))

    # -------------------------------------------------------- sentences about rows
    def even_verb(self, c: list[Any]) -> _Op:
        stitch = {"K": "k", "P": "p"}.get(c[0].type, "work")
        return _Op(((stitch, 1),), spot_of(c))

    def style(self, c: list[Any]) -> _Style | _Rib:
        if isinstance(c[0], _Rib):
            return c[0]
        names = {"STOCKINETTE": "stockinette", "GARTER": "garter", "SEED": "seed"}
        return _Style(names.get(c[0].type, ""))

    def rib(self, c: list[Any]) -> _Rib:
        numbers = _all(c, Number)
        return _Rib(numbers[0], numbers[-1])

    def for_rows(self, c: list[Any]) -> Span:
        return Span("rows", _one(c, Number))

    def about(self, c: list[Any]) -> _About:
        number = _one(c, Number)
        assert number is not None  # by the grammar
        return _About(number)

    def ending_side(self, c: list[Any]) -> _EndSide:
        mark = _one(c, _Mark)
        return _EndSide(mark.side or "RS" if mark else "RS")

    def _until(self, kind: str, c: list[Any]) -> Span:
        unit, about, end = _one(c, _Unit), _one(c, _About), _one(c, _EndSide)
        return Span(
            kind,
            _one(c, Number),
            unit=unit.cm if unit else 1.0,
            about=about.number if about else None,
            end_side=end.side if end else None,
        )

    def until_measures(self, c: list[Any]) -> Span:
        return self._until("measures", c)

    def for_length(self, c: list[Any]) -> Span:
        return self._until("length", c)

    def until_remain(self, c: list[Any]) -> Span:
        return Span("remain", _one(c, Number))

    def even(self, c: list[Any]) -> Even:
        verb, rib, span = c[0], _one(c, _Rib), _one(c, Span)
        style = "rib" if rib else next((s.name for s in _all(c, _Style) if s.name), "")
        assert span is not None  # by the grammar
        return Even(
            verb.parts[0][0],
            style,
            (rib.knit, rib.purl) if rib else None,
            span,
            verb.spot,
        )

    def numbered_rows(self, c: list[Any]) -> _RowsMeant:
        return _RowsMeant("numbered", _all(c, Range))

    def last_rows(self, c: list[Any]) -> _RowsMeant:
        return _RowsMeant("last", number=_one(c, Number) or Number((1.0,), spot_of(c)))

    def these_rows(self, c: list[Any]) -> _RowsMeant:
        return _RowsMeant("last", number=_one(c, Number))

    def named_row(self, c: list[Any]) -> _RowsMeant:
        return _RowsMeant("named", name=_row_name(c[0]))

    def rep_span(self, c: list[Any]) -> Span | tuple[Turns, ...]:
        first: Any = c[0]
        if isinstance(first, Times):
            return Span("times", first.number, first.more)
        return first  # type: ignore[no-any-return]

    def repeat(self, c: list[Any]) -> Repeat:
        meant, span = _one(c, _RowsMeant), _one(c, Span)
        turns = next((i for i in c if isinstance(i, tuple)), ())
        assert meant is not None  # by the grammar
        return Repeat(
            meant.kind,
            meant.ranges,
            meant.number,
            meant.name,
            span or Span("once"),
            turns,
            spot_of(c),
        )

    def schedule(self, c: list[Any]) -> tuple[Turns, ...]:
        return _all(c, Turns)

    def next_turns(self, c: list[Any]) -> Turns:
        number = _one(c, Number)
        return Turns(1, True, Span("times", number) if number else Span("once"))

    def until_turns(self, c: list[Any]) -> Span:
        times = _one(c, Times)
        if times:
            return Span("times", times.number, times.more)
        return Span("remain", _one(c, Number))

    def every_turns(self, c: list[Any]) -> Turns:
        mark, span = _one(c, _Mark), _one(c, Span)
        return Turns(
            2 if mark else _step_of(c),
            False,
            span or Span("open"),
            mark.side if mark else None,
            _nth(c),
        )

    def counted_turns(self, c: list[Any]) -> Turns:
        return Turns(_step_of(c), False, Span("times", _one(c, Number)), nth=_nth(c))

    def _shaping(self, stitch: str, c: list[Any]) -> ShapeRows:
        where = (
            "each end"
            if _said(c, "AT_EACH_END")
            else "end"
            if _said(c, "AT_END")
            else "evenly"
            if _said(c, "EVENLY")
            else "beginning"
        )
        now = (Turns(1, True, Span("once")),)
        turns = next((i for i in c if isinstance(i, tuple)), now)
        return ShapeRows(stitch, _one(c, Number), where, turns, None, spot_of(c))

    def shape_rows(self, c: list[Any]) -> ShapeRows:
        return self._shaping("dec" if c[0].type == "DEC" else "inc", c)

    def edge_rows(self, c: list[Any]) -> ShapeRows:
        return self._shaping("bo" if c[0].type == "BO" else "co", c)

    # -------------------------------------------------------- steps
    def do(self, c: list[Any]) -> StepLine:
        said = " ".join(c[0].lower().replace("-", " ").split())
        kind = {"cast off": "bind off", "bindoff": "bind off", "castoff": "bind off"}.get(
            said, said
        )
        row = _one(c, Row)
        return StepLine(kind, row, spot_of(c), row.marks if row else None)

    def look(self, c: list[Any]) -> StepLine:
        kind = " ".join(c[0].lower().split())
        return StepLine(kind, None, spot_of(c), _one(c, Marks))

    def measure_step(self, c: list[Any]) -> StepLine:
        unit = _one(c, _Unit)
        return StepLine(
            "measure", None, spot_of(c), _one(c, Marks), _one(c, Number), unit.cm if unit else 1.0
        )

    def _bare(self, stitch: str, c: list[Any]) -> Row:
        named, number = _one(c, _Named), _one(c, Number)
        first = Stitch(((stitch, 1),), spot_of(c), number, at=named.text if named else "")
        mine = (Number, _Named)
        return row_of([first, *(i for i in c if not isinstance(i, mine))], spot_of(c))

    def foundation(self, c: list[Any]) -> StepLine:
        return StepLine("foundation", self._bare("co", c), spot_of(c))

    def pick_up_line(self, c: list[Any]) -> StepLine:
        return StepLine("pick up", self._bare("pick up", c), spot_of(c))

    def bind_off_all(self, c: list[Any]) -> StepLine:
        all_of_it = bool(_said(c, "ALL", "REMAIN"))
        number = _one(c, Number)
        return StepLine(
            "bind off",
            self._bare("bo", c),
            spot_of(c),
            whole=True,
            said_all=all_of_it or number is None,
        )

    def yarn_end(self, c: list[Any]) -> _Tail:
        return _Tail(c[0])

    def yarn_line(self, c: list[Any]) -> YarnLine:
        ops = [i if isinstance(i, _Op) else i.op for i in c if isinstance(i, (_Op, _Tail))]
        return YarnLine(
            tuple(Stitch(op.parts, op.spot, Number((1.0,), op.spot)) for op in ops), spot_of(c)
        )

    def hold_line(self, c: list[Any]) -> YarnLine:
        return YarnLine(tuple(_all(c, Hold)), spot_of(c))

    def weave_in(self, c: list[Any]) -> StepLine:
        return StepLine("weave in", None, spot_of(c))

    # -------------------------------------------------------- whole lines
    def line(self, c: list[Any]) -> list[Any]:
        said = [i for i in c if not isinstance(i, Token)]
        if len(said) > 1 and isinstance(said[-1], Claim) and isinstance(said[-2], ShapeRows):
            said[-2:] = [replace(said[-2], claim=said[-1])]
        return said

    def row_alone(self, c: list[Any]) -> Any:
        return c[0]

    def gauge_alone(self, c: list[Any]) -> Any:
        return c[0]

    def prose(self, c: list[Any]) -> list[Token]:
        return list(c)


@cache
def grammar() -> Lark:
    """The grammar, compiled once."""
    text = files("engine.pattern").joinpath("pattern.lark").read_text(encoding="utf-8")
    return Lark(
        text,
        parser="lalr",
        lexer="contextual",
        start=["line", "row_alone", "prose", "gauge_alone"],
        maybe_placeholders=False,
        transformer=_Lines(),
    )


def parse(text: str, start: str) -> Any:
    """One line by the grammar. Raises lark's errors where it is none."""
    return grammar().parse(text, start=start)
