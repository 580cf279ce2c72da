"""Grammar rules of sentences about rows: even stretches, repeats, shaping every so many rows."""

import re
from dataclasses import replace
from typing import Any

from lark import Token

from engine.pattern.text import words
from engine.pattern.text.children import (
    all_of,
    first_of,
    lettered,
    nth_of,
    part_name,
    row_name,
    spot_of,
    step_of,
    token_of,
)
from engine.pattern.text.numbers import Number
from engine.pattern.text.pieces import (
    About,
    EndRow,
    EndSide,
    Op,
    Rib,
    RowMark,
    RowsMeant,
    Style,
    Unit,
)
from engine.pattern.text.row_items import MARKER, MARKERS, Times
from engine.pattern.text.statements import (
    AsPart,
    Both,
    Even,
    Fabric,
    Range,
    Repeat,
    ShapeRows,
    Span,
    Turns,
)


def edge_named(said: str) -> str:
    """`at the neck edge`: the neck edge."""
    words = " ".join(said.lower().split())
    return words.removeprefix("at ").removeprefix("on ").removeprefix("the ")


def beside_markers(said: str) -> str:
    """`each side of marker`: of the one there is; `before and after each marker`: of all."""
    words = said.lower().split()
    one = words[-1] in {"marker", "mkr"} and {"each", "every"}.isdisjoint(words[2:])
    return MARKER if one else MARKERS


_AS_PART = re.compile(
    r"(?:as|to match|like) (?:for )?(?:the )?(?P<name>[a-z0-9 ]+?)"
    r"(?= to | until | up to | as far | and | but | revers|$)"
    r"(?:(?: up)? (?:to|until|as far as) (?:the )?"
    r"(?:(?:beg|beginning|start|(?P<through>end)) of )?(?:the )?"
    r"(?P<until>[a-z]+))?"
)


_MARKED = re.compile(
    r" (?P<start>from|between)?"
    r"(?: ?(?:the )?(?:up )?(?:to|till|until|as far as|and)?(?: the)? ?\*\*)+(?: to (?:the )?end)?"
)


_SECTIONS = (
    "above rib",
    "armhole", "body", "sleeve", "strap", "foot", "hand", "yoke", "thumb", "flap", "mesh", "skirt",
    "collar", "hood", "panel", "toe", "cuff", "brim", "border", "edging", "crown", "gusset", "band",
    "tie", "pocket", "handle", "ear", "tail", "ruffle", "lace",
)  # fmt: skip
"""What is measured from where it begins, and not from the piece's beginning."""


def _measured(said: str) -> str:
    return next((w for w in _SECTIONS if re.search(rf"\b{w}s?\b", said.lower())), "")


class SentenceRules:
    """Sentences about rows."""

    def even_verb(self, c: list[Any]) -> Op:
        stitch = {"K": "k", "P": "p"}.get(c[0].type, "work")
        return Op(((stitch, 1),), spot_of(c))

    def style(self, c: list[Any]) -> Style | Rib:
        if isinstance(c[0], Rib):
            return c[0]
        if c[0].type == "BORDER":
            return Style("", False, "", first_of(c, Number))
        names = {"STOCKINETTE": "stockinette", "GARTER": "garter", "SEED": "seed"}
        quoted = token_of(c, "QUOTED")
        return Style(
            names.get(c[0].type, ""),
            c[0].type == "IN_STYLE",
            quoted.strip('"') if quoted else "",
        )

    def rib(self, c: list[Any]) -> Rib:
        numbers = all_of(c, Number)
        return Rib(numbers[0], numbers[-1])

    def for_rows(self, c: list[Any]) -> Span:
        return replace(self._until("rows", c), in_all=token_of(c, "IN_ALL") is not None)

    def about(self, c: list[Any]) -> About:
        number = first_of(c, Number)
        assert number is not None  # by the grammar
        return About(number)

    def ending_side(self, c: list[Any]) -> EndSide:
        mark = first_of(c, RowMark)
        return EndSide(mark.side or "RS" if mark else "RS")

    def ending_row(self, c: list[Any]) -> EndRow:
        if not any(sign.isdigit() for sign in c[0]):
            return EndRow(stitch="p" if "purl" in c[0].lower() else "k")
        rows = [
            Number((float(words.ordinal(said)),), spot_of(c), str(words.ordinal(said)))
            for said in str(c[0]).lower().split(" or ")
        ]
        return EndRow(rows[0], other=rows[1] if len(rows) > 1 else None)

    def until_rows(self, c: list[Any]) -> Span:
        return self._until("total", c)

    def until_all(self, _c: list[Any]) -> Span:
        return Span("all")

    def _until(self, kind: str, c: list[Any]) -> Span:
        unit, about, end = first_of(c, Unit), first_of(c, About), first_of(c, EndSide)
        row, token = first_of(c, EndRow), token_of(c, "UNTIL_MEASURES")
        return Span(
            kind,
            first_of(c, Number),
            unit=unit.cm if unit else 1.0,
            about=about.number if about else None,
            end_side=end.side if end else None,
            end_row=row.number if row else None,
            end_or=row.other if row else None,
            end_stitch=row.stitch if row else "",
            of="" if token_of(c, "FROM_BEG") else _measured(token or ""),
        )

    def until_measures(self, c: list[Any]) -> Span:
        return self._until("measures", c)

    def for_length(self, c: list[Any]) -> Span:
        return self._until("length", c)

    def until_square(self, c: list[Any]) -> Span:
        return self._until("square", c)

    def until_as_long(self, c: list[Any]) -> Span:
        said = str(token_of(c, "UNTIL_AS_LONG")).lower().split()
        name = " ".join(w for w in said[4:] if w != "the")
        return replace(self._until("as long", c), of=name)

    def until_remain(self, c: list[Any]) -> Span:
        return self._ended(Span("remain", first_of(c, Number)), c)

    def _ended(self, span: Span, c: list[Any]) -> Span:
        """With the row that it ends with."""
        end, row = first_of(c, EndSide), first_of(c, EndRow)
        return replace(
            span,
            end_side=end.side if end else None,
            end_row=row.number if row else None,
            end_or=row.other if row else None,
            end_stitch=row.stitch if row else "",
        )

    def until_between(self, c: list[Any]) -> Span:
        return Span("between", first_of(c, Number))

    def even(self, c: list[Any]) -> Even:
        verb, rib, span = c[0], first_of(c, Rib), first_of(c, Span)
        style = "rib" if rib else next((s.name for s in all_of(c, Style) if s.name), "")
        assert span is not None  # by the grammar
        return Even(
            verb.parts[0][0],
            style,
            (rib.knit, rib.purl) if rib else None,
            span,
            verb.spot,
            patterned=any(s.patterned for s in all_of(c, Style)),
            of=next((s.of for s in all_of(c, Style) if s.of), ""),
            border=next((s.border for s in all_of(c, Style) if s.border), None),
        )

    def fabric(self, c: list[Any]) -> Fabric:
        rib = first_of(c, Rib)
        style = "rib" if rib else next((s.name for s in all_of(c, Style) if s.name), "")
        return Fabric(
            style,
            (rib.knit, rib.purl) if rib else None,
            next((s.of for s in all_of(c, Style) if s.of), ""),
            spot_of(c),
        )

    def numbered_rows(self, c: list[Any]) -> RowsMeant:
        ranges = [*all_of(c, Range), *(r for i in c if isinstance(i, list) for r in i)]
        quoted = token_of(c, "QUOTED")
        name = quoted.strip('"') if quoted else ""
        return RowsMeant("numbered", tuple(ranges), name=name, part=part_name(c))

    def last_rows(self, c: list[Any]) -> RowsMeant:
        return RowsMeant("last", number=first_of(c, Number) or Number((1.0,), spot_of(c)))

    def these_rows(self, c: list[Any]) -> RowsMeant:
        return RowsMeant("last", number=first_of(c, Number))

    def onward_rows(self, c: list[Any]) -> RowsMeant:
        return RowsMeant("onward")

    def named_row(self, c: list[Any]) -> RowsMeant:
        letters = isinstance(c[0], Token) and c[0].type == "LETTERED_ROWS"
        return RowsMeant("named", name=(lettered if letters else row_name)(c[0]))

    def rep_span(self, c: list[Any]) -> Span | tuple[Turns, ...]:
        first: Any = c[0]
        if isinstance(first, Times):
            said, rows = Span("times", first.number, first.more, first.in_all), first_of(c, About)
            return replace(said, about=rows.number, about_all=rows.in_all) if rows else said
        return first  # type: ignore[no-any-return]

    def said_rows(self, c: list[Any]) -> About:
        return replace(self.about(c), in_all=token_of(c, "IN_ALL") is not None)

    def repeat(self, c: list[Any]) -> Repeat:
        meant, span = first_of(c, RowsMeant), first_of(c, Span)
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
            afresh=token_of(c, "WORK") is not None,
            part=meant.part,
        )

    def both(self, c: list[Any]) -> Both:
        return Both(spot_of(c))

    def as_part(self, c: list[Any]) -> AsPart:
        said = " ".join(c[0].lower().replace(",", " ").split())
        marked = _MARKED.search(said)
        marks = ""
        if marked:
            ends = said.count("**") == 1 and not marked["start"]
            marks = "to" if ends else "between" if said.count("**") == 2 else "from"
            said = f"{said[: marked.start()]}{said[marked.end() :]}"
        found = _AS_PART.search(said)
        assert found is not None  # the token has both
        until = (found["until"] or "").removesuffix("line").rstrip("s")
        through = bool(found["through"])
        span = first_of(c, Span)
        name, mirrored = found["name"].strip(), "revers" in said
        return AsPart(name, spot_of(c), until, mirrored, through, span, marks=marks)

    def shape_as(self, c: list[Any]) -> AsPart:
        shaping, _, name = " ".join(c[0].lower().split()).partition(" as for ")
        section = shaping.removeprefix("shape ").removeprefix("the ").rstrip("s")
        return AsPart(name.removeprefix("the "), spot_of(c), section, shaping=True)

    def schedule(self, c: list[Any]) -> tuple[Turns, ...]:
        return all_of(c, Turns)

    def next_turns(self, c: list[Any]) -> Turns:
        number = first_of(c, Number)
        return Turns(1, True, Span("times", number) if number else Span("once"))

    def nth_turns(self, c: list[Any]) -> Turns:
        return Turns(words.ordinal(token_of(c, "ORDINAL") or ""), False, Span("once"))

    def until_turns(self, c: list[Any]) -> Span:
        times = first_of(c, Times)
        if times:
            return Span("times", times.number, times.more, times.in_all)
        if token_of(c, "UNTIL_ALL"):
            return Span("all")
        kind = "between" if token_of(c, "BETWEEN") else "remain"
        return self._ended(Span(kind, first_of(c, Number)), c)

    def every_turns(self, c: list[Any]) -> Turns:
        mark, span = first_of(c, RowMark), first_of(c, Span)
        return Turns(
            2 if mark else step_of(c),
            False,
            span or Span("open"),
            mark.side if mark else None,
            nth_of(c),
        )

    def foll_turn(self, c: list[Any]) -> Turns:
        return Turns(step_of(c), False, Span("once"), nth=nth_of(c))

    def counted_turns(self, c: list[Any]) -> Turns:
        return Turns(step_of(c), False, Span("times", first_of(c, Number)), nth=nth_of(c))

    def _shaping(self, stitch: str, c: list[Any]) -> ShapeRows:
        edge, markers = token_of(c, "AT_EDGE"), token_of(c, "AT_MARKERS")
        where = (
            "each end"
            if token_of(c, "AT_EACH_END")
            else "end"
            if token_of(c, "AT_END")
            else edge_named(edge)
            if edge
            else beside_markers(markers)
            if markers
            else "evenly"
            if token_of(c, "EVENLY")
            else "beginning"
        )
        now = (Turns(1, True, Span("once")),)
        turns = next((i for i in c if isinstance(i, tuple)), now)
        return ShapeRows(stitch, first_of(c, Number), where, turns, None, spot_of(c))

    def shape_rows(self, c: list[Any]) -> ShapeRows:
        return self._shaping("dec" if c[0].type == "DEC" else "inc", c)

    def edge_rows(self, c: list[Any]) -> ShapeRows:
        return self._shaping("bo" if c[0].type == "BO" else "co", c)
