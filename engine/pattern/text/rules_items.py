"""Grammar rules of a row's items: stitches, repeats, shaping, resting loops."""

import re
from dataclasses import replace
from typing import Any

from lark import Token

from engine.pattern.text import words
from engine.pattern.text.children import (
    all_of,
    first_of,
    mark_of,
    part_name,
    row_name,
    spot_of,
    token_of,
)
from engine.pattern.text.numbers import Number
from engine.pattern.text.pieces import Count, Named, Op, Where
from engine.pattern.text.row_items import (
    DROPPING,
    NEEDLES,
    AsRow,
    Claim,
    Doubt,
    Ending,
    Group,
    Hold,
    Item,
    Limit,
    Marker,
    Parts,
    RepFrom,
    Shape,
    Slip,
    Star,
    Stitch,
    Times,
    Toward,
    Turn,
    Until,
)
from engine.pattern.text.rules_sentences import beside_markers, edge_named
from engine.pattern.text.stars import CableNeedle, Claims, FromCable, RibWord, Run, YarnHeld, fold
from engine.pattern.text.statements import Range
from models.stitch import STITCHES, Role

_OVER = re.compile(r"over([kp]\d)$")
"""`pass sl st over k1`, without its spaces."""


_STOPPED = "."


def _stopped(said: str) -> str:
    """A full stop after `inc` or `dec`: what is counted then may be the row's stitches."""
    return _STOPPED if said.rstrip().endswith(_STOPPED) else ""


def _here(stitch: str) -> bool:
    """Whether it is worked where the hand is: "k10 from holder" would take other loops."""
    return STITCHES[stitch].takes > 0 and STITCHES[stitch].role is not Role.END


def _doubt(op: Op, into: Token | None) -> Doubt:
    """What the stitch's word leaves open."""
    if into is not None and op.plain:
        return Doubt.ALL_INTO if into.lower().startswith("all") else Doubt.INTO
    stitch = op.parts[0][0]
    if stitch == "inc" and into is None:
        return Doubt.INCREASE
    if op.said in {"yf", "yfwd", "yfd", "yarnforward"}:
        return Doubt.FORWARD
    if stitch == "psso" and op.parts[0][1] == 1:
        return Doubt.PASSED
    return Doubt.NONE


def _over_gaps(parts: Parts, c: list[Any]) -> bool:
    """`cast on 2 sts over those bound off`: where there are several such, over each of them."""
    manners = (str(t).lower() for t in c if isinstance(t, Token) and t.type == "MANNER")
    laid = parts == (("co", 1),)
    return laid and any(m.startswith("over") for m in manners)


class ItemRules:
    """What stands in a row."""

    def _op(self, parts: Parts, c: list[Any], plain: bool = False) -> Op:
        return Op(parts, spot_of(c), plain)

    def knit(self, c: list[Any]) -> Op:
        return self._op((("k", 1),), c, True)

    def purl(self, c: list[Any]) -> Op:
        return self._op((("p", 1),), c, True)

    def work(self, c: list[Any]) -> Op:
        return self._op((("work", 1),), c, True)

    def together(self, c: list[Any]) -> Op:
        return self._op(words.together(c[0]), c)

    def plain(self, c: list[Any]) -> Op:
        said = "".join(c[0].lower().split())
        return Op(words.one_word(c[0]), spot_of(c), said=said)

    def slip_kwise(self, c: list[Any]) -> Op:
        wise = "sl kwise" if "k" in c[0].lower() else "sl pwise"
        return self._op(((wise, 1),), c)

    def slip(self, c: list[Any]) -> Op:
        return self._op((("sl", 1),), c)

    def slip_together(self, c: list[Any]) -> Op:
        said = str(c[0]).lower()
        count = next((int(s) for s in said if s.isdigit()), 3 if "three" in said else 2)
        return self._op((("sl kwise", count),), c)

    def rib_op(self, c: list[Any]) -> Op:
        return Op((("work", 1),), spot_of(c), plain=True, said="rib")

    def cable(self, c: list[Any]) -> Op:
        return self._op(words.cable(c[0]), c)

    def drop(self, c: list[Any]) -> Op:
        return self._op((("drop", 1),), c)

    def coloured(self, c: list[Any]) -> Item:
        return Stitch((("k", 1),), spot_of(c), first_of(c, Number))

    def work_in(self, c: list[Any]) -> Token:
        token: Token = c[0]
        return token

    def held_on_cable(self, c: list[Any]) -> CableNeedle:
        front = "front" in str(token_of(c, "TO_CABLE")).lower()
        return CableNeedle(spot_of(c), first_of(c, Number), front)

    def from_cable(self, c: list[Any]) -> FromCable:
        count = first_of(c, Count)
        return FromCable(Stitch(c[0].parts, spot_of(c), count.number if count else None))

    def decrease(self, c: list[Any]) -> Op:
        return Op((("dec", 1),), spot_of(c), said=_stopped(c[0]))

    def increase(self, c: list[Any]) -> Op:
        return Op((("inc", 1),), spot_of(c), said=_stopped(c[0]))

    def bind_off(self, c: list[Any]) -> Op:
        return self._op((("bo", 1),), c)

    def cast_on(self, c: list[Any]) -> Op:
        return self._op((("co", 1),), c)

    def pick_up(self, c: list[Any]) -> Op:
        return self._op((("pick up", 1),), c)

    def chain(self, c: list[Any]) -> Op:
        return self._op((("seam", 1),), c)

    def tail(self, c: list[Any]) -> Op:
        return self._op((("tail", 1),), c)

    def join(self, c: list[Any]) -> Op:
        return self._op((("join", 1),), c)

    def fasten(self, c: list[Any]) -> Op:
        return self._op((("fasten", 1),), c)

    def place_marker(self, c: list[Any]) -> Marker:
        return Marker(spot_of(c), first_of(c, Number), bool(token_of(c, "BEFORE")))

    def count(self, c: list[Any]) -> Count:
        return Count(first_of(c, Number))

    def count_one(self, c: list[Any]) -> Count:
        return Count(Number((1.0,), spot_of(c)))

    def yarn_held(self, c: list[Any]) -> YarnHeld:
        return YarnHeld("back" if c[0].type == "YARN_BACK" else c[0].type.lower())

    def times(self, c: list[Any]) -> Times:
        number = first_of(c, Number)
        if number is None:
            said = token_of(c, "TIMES_WORD")
            number = words.number(said or c[0], spot_of(c))
        return Times(number, bool(token_of(c, "MORE")), bool(token_of(c, "IN_ALL", "TOTAL_OF")))

    def times_more(self, c: list[Any]) -> Times:
        return Times(c[0], True)

    def manner(self, c: list[Any]) -> Token:
        token: Token = c[0]
        return token

    def to_end(self, _c: list[Any]) -> Limit:
        return Limit(Until.LAST, None, at_least_all=True)

    def to_last(self, c: list[Any]) -> Limit:
        return Limit(Until.LAST, first_of(c, Number) or Number((1.0,), spot_of(c)))

    def waiting(self, _c: list[Any]) -> Limit:
        return Limit(Until.WAITING)

    def over(self, c: list[Any]) -> Limit:
        return Limit(Until.OVER, first_of(c, Number))

    def to_gap(self, c: list[Any]) -> Limit:
        """To where it was turned; a double stitch or wrapped one lies at that place."""
        short = first_of(c, Number)
        said = str(token_of(c, "GAP")).lower().replace(" ", "")
        if said.endswith(("ds", "doublestitch", "yo", "yarnover")):
            # the double stitch, or the yarn over of the turn, is the last one worked before the gap
            whole = tuple((v or 0) + 1 for v in short.values) if short else (1.0,)
            short = Number(whole, short.spot if short else spot_of(c))
        return Limit(Until.GAP, short)

    def to_middle(self, c: list[Any]) -> Limit:
        return Limit(Until.MIDDLE, first_of(c, Number))

    def to_marker(self, c: list[Any]) -> Limit:
        return Limit(Until.MARKER, first_of(c, Number))

    def to_last_marker(self, c: list[Any]) -> Limit:
        return Limit(Until.LAST_MARKER, first_of(c, Number))

    def evenly(self, _c: list[Any]) -> Where:
        return Where("evenly")

    def at_each_end(self, _c: list[Any]) -> Where:
        return Where("each end")

    def at_beg(self, _c: list[Any]) -> Where:
        return Where("beginning")

    def at_edge(self, c: list[Any]) -> Where:
        return Where(edge_named(c[0]))

    def at_markers(self, c: list[Any]) -> Where:
        return Where(beside_markers(c[0]))

    def at_end(self, _c: list[Any]) -> Where:
        return Where("end")

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

    def stitch(self, c: list[Any]) -> Item | RibWord:
        op, count, times, at = c[0], first_of(c, Count), first_of(c, Times), first_of(c, Named)
        text = at.text if at else ""
        if isinstance(op, Op) and at and not at.quoted and _here(op.parts[0][0]):
            raise ValueError("stitches worked at a place that is only named")
        if isinstance(op, Marker):
            number = op.number or (count.number if count else None)
            return replace(op, at=text, number=number)
        if op.parts[0][0] == "co" and not (count or times):
            raise ValueError("it does not say how many to cast on")
        parts = self._with_manner(op.parts, c)
        if count and count.number is None:
            return Toward(parts, Limit(Until.LAST, None, at_least_all=True), op.spot)
        into = token_of(c, "INTO")
        if op.said == "rib" and not (count or times):
            return RibWord(Toward(parts, Limit(Until.LAST, None, at_least_all=True), op.spot))
        return Stitch(
            parts,
            op.spot,
            count.number if count else None,
            times,
            text,
            bare=op.plain and count is None and times is None and not into,
            doubt=Doubt.STOPPED if op.said == _STOPPED and count else _doubt(op, into),
            over=found[1] if (found := _OVER.search(op.said)) else "",
            gaps=_over_gaps(parts, c),
        )

    def toward(self, c: list[Any]) -> Item | Run | RibWord:
        op, limit = c[0], first_of(c, Limit) or Limit(Until.LAST, None, at_least_all=True)
        if isinstance(op, Marker):
            return op
        parts = self._with_manner(op.parts, c)
        if op.said == "rib":
            return RibWord(Toward(parts, limit, op.spot))
        if op.plain:
            return Toward(parts, limit, op.spot)
        passed = Doubt.PASSED if _doubt(op, None) is Doubt.PASSED else Doubt.NONE
        return Run(Stitch(parts, op.spot, doubt=passed), limit)

    def run(self, c: list[Any]) -> Item | Run | RibWord:
        limit = first_of(c, Limit)
        assert limit is not None  # by the grammar
        item = self.stitch([i for i in c if i is not limit])
        if not isinstance(item, Stitch):
            return item
        passed = Doubt.PASSED if item.doubt is Doubt.PASSED else Doubt.NONE
        return Run(replace(item, doubt=passed), limit)

    def in_each(self, c: list[Any]) -> Item:
        op, limit = c[0], first_of(c, Limit) or Limit(Until.LAST, None, at_least_all=True)
        if isinstance(op, Marker):
            return op
        return Toward(self._with_manner(op.parts, c), limit, op.spot)

    def in_next(self, c: list[Any]) -> Item:
        """`inc in next 3 sts`: once in each of them."""
        op, number = c[0], first_of(c, Number)
        if isinstance(op, Marker) or sum(STITCHES[s].takes * n for s, n in op.parts) != 1:
            raise ValueError("only what is worked into one stitch is worked in each of several")
        return Stitch(self._with_manner(op.parts, c), op.spot, number)

    def in_nth(self, c: list[Any]) -> Item:
        """`inc in every 3rd st`: two plain, then the increase, over and over."""
        op, said = c[0], str(token_of(c, "IN_NTH")).lower()
        words_of = {"other": 2, "alt": 2, "second": 2, "third": 3, "fourth": 4, "fifth": 5}
        nth = next((n for w, n in words_of.items() if w in said), 0)
        nth = nth or int("".join(s for s in said if s.isdigit()))
        limit = first_of(c, Limit) or Limit(Until.LAST, None, at_least_all=True)
        plain = Number((float(nth - 1),), op.spot)
        body = (Stitch((("k", 1),), op.spot, plain), Stitch(op.parts, op.spot))
        return Group(body, op.spot, limit=limit)

    def hyphened(self, c: list[Any]) -> Item:
        """`k1-p1-k1 in next st`."""
        spot = spot_of(c)
        said = [part.strip().lower()[:1] for part in c[0].split("-")]
        said = said if len(said) > 1 else list(str(c[0]).strip().lower())
        inside = [Stitch((({"y": "yo", "m": "m1"}.get(s, s), 1),), spot) for s in said]
        return Group(tuple(inside), spot, into=True)

    def shape(self, c: list[Any]) -> Item:
        op, count, where = c[0], first_of(c, Count), first_of(c, Where)
        if isinstance(op, Marker) or where is None:
            return Shape("pm", None, "each end", spot_of(c))
        times = first_of(c, Times)
        number = times.number if times else count.number if count else None
        return Shape(op.parts[0][0], number, where.where, op.spot)

    def shape_to(self, c: list[Any]) -> Item:
        """`dec evenly to 72 sts`."""
        op, target, count = c[0], first_of(c, Number), first_of(c, Count)
        if isinstance(op, Marker):
            raise ValueError("markers are not spread to a number of stitches")
        said = count.number if count else None
        return Shape(op.parts[0][0], said, "evenly", op.spot, target=target)

    def group(self, c: list[Any]) -> Item | Claims:
        spot = spot_of(c)
        slips: list[Slip] = []
        ends = (Times, Limit)
        items = fold([i for i in c if not isinstance(i, (Token, *ends))], slips)
        times, limit = first_of(c, Times), first_of(c, Limit)
        if items and not (times or limit) and all(isinstance(i, Claim) for i in items):
            return Claims(items)
        for item in items:
            if isinstance(item, Group):
                slips.extend(item.slips)
        return Group(items, spot, times, limit, into=bool(token_of(c, "INTO")), slips=tuple(slips))

    def often_into(self, c: list[Any]) -> Item:
        """`(k1, p1) twice in next st`: four into one."""
        inner = self.group([i for i in c if not isinstance(i, Token)])
        if not isinstance(inner, Group):
            raise ValueError("a count is not worked into a stitch")
        return Group((inner,), inner.spot, into=True, slips=inner.slips)

    def star(self, c: list[Any]) -> Star:
        into = bool(token_of(c, "INTO"))
        return Star(mark_of(c[0]), spot_of(c), first_of(c, Times), first_of(c, Limit), into)

    def needles(self, c: list[Any]) -> Marker:
        count = next(s for s in str(c[0]) if s.isdigit())
        return Marker(spot_of(c), Number((float(count),), spot_of(c)), at=NEEDLES)

    def markers_off(self, c: list[Any]) -> Marker:
        return Marker(spot_of(c), off=True)

    def rep_from(self, c: list[Any]) -> RepFrom:
        if token_of(c, "REP_ALL"):
            return RepFrom("", spot_of(c), first_of(c, Times), first_of(c, Limit), whole=True)
        mark = token_of(c, "STAR")
        return RepFrom(mark_of(mark or ""), spot_of(c), first_of(c, Times), first_of(c, Limit))

    def ending(self, c: list[Any]) -> Ending:
        return Ending(spot_of(c))

    def row_range(self, c: list[Any]) -> Range:
        numbers = all_of(c, Number)
        return Range(numbers[0], numbers[-1])

    def number_th(self, c: list[Any]) -> Range:
        number = Number((float(words.ordinal(c[0])),), spot_of(c))
        return Range(number, number)

    def ordinals(self, c: list[Any]) -> list[Range]:
        return list(all_of(c, Range))

    def dropping(self, c: list[Any]) -> AsRow:
        return AsRow((), DROPPING + str(c[0])[0].lower(), spot_of(c))

    def as_row(self, c: list[Any]) -> AsRow:
        ranges = list(all_of(c, Range)) + [r for i in c if isinstance(i, list) for r in i]
        name = token_of(c, "NAMED_ROW")
        return AsRow(
            tuple((r.first, r.last) for r in ranges),
            row_name(name) if name else "",
            spot_of(c),
            part=part_name(c),
            times=first_of(c, Times),
        )

    def charted(self, c: list[Any]) -> AsRow | Group:
        number, limit, times = first_of(c, Number), first_of(c, Limit), first_of(c, Times)
        name = str(token_of(c, "QUOTED")).strip('"').lower()
        row = AsRow(((number, number),) if number else (), "", spot_of(c), name)
        return Group((row,), row.spot, times, limit) if limit or times else row

    def turn(self, c: list[Any]) -> Turn:
        return Turn(spot_of(c), wraps=bool(token_of(c, "WRAP_TURN")))

    def claim(self, c: list[Any]) -> Claim:
        number = first_of(c, Number)
        assert number is not None  # the grammar has no claim without one
        return Claim(number, number.spot)

    def claim_more(self, c: list[Any]) -> Claim:
        return replace(self.claim(c), change=1)

    def claim_fewer(self, c: list[Any]) -> Claim:
        return replace(self.claim(c), change=-1)

    def rest(self, c: list[Any]) -> Hold:
        if not (first_of(c, Number) or token_of(c, "REMAIN", "NEXT", "LAST", "CENTRE", "STS")):
            raise ValueError("it does not say which are put aside")
        name = first_of(c, Named)
        place = (name.text if name else "holder",)
        here = bool(token_of(c, "NEXT", "FIRST", "CENTRE"))
        return Hold("rest", first_of(c, Number), place, spot_of(c), next=here)

    def rest_to_marker(self, c: list[Any]) -> Hold:
        return Hold("rest", None, ("holder",), spot_of(c), next=True, to_marker=True)

    def resume(self, c: list[Any]) -> Hold:
        places = tuple(n.text for n in all_of(c, Named)) or ("",)
        return Hold("resume", first_of(c, Number), places, spot_of(c))

    def pair(self, c: list[Any]) -> Hold:
        return Hold(
            "pair", first_of(c, Number), tuple(n.text for n in all_of(c, Named)), spot_of(c)
        )
