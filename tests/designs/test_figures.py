"""Published figures beside ours, countable: `python -m tests.designs.test_figures` lists them.

Each has its source. Those of whole garments are ranges: another designer's choice lies in ours.
"""

import sys
from collections import Counter
from functools import cache
from typing import NamedTuple

import pytest

from engine.craft.shaping import taper, yoke
from engine.craft.sizes import BODY_SIZES, CHILD_SIZES
from engine.craft.spacing import gaps
from engine.designs.raglan import counts
from engine.designs.shapes import Heel
from engine.plan.planning import make_plan, read_gauge, script_for

WOOL = "Country Wool, “Betsi's Raglan Sweater”, 1999-2020: the percentage system"
HEAVEN = "morrisandsons.com.au, “Heaven cardigan”, nine sizes"
CHILDREN = "crochetkitten.com, “Measurements for Designers: Children”"
SOCK = "digipicsphotography, “My Sock Formula”, 2012: the sock of 64 stitches"
RAGLAN = "carol-myknittingpage, “To convert to raglan”, 2005"
TEXTBOOK = "a hand-knitting textbook quoted at zanotowane.pl/713/7882"


class Figure(NamedTuple):
    """A published figure, where it stands, and ours."""

    what: str
    source: str
    published: object
    ours: object
    within: float = 0.0
    """How far ours may be off, in the figure's unit: half a loop, or another designer's choice."""


@cache
def cardigan(size):
    return script_for(make_plan("cardigan", read_gauge("16 x 20"), size=size)).finished_cm


def spaced(rows):
    """How often each gap comes: `4 x 3, 32 x 4`."""
    return ", ".join(f"{times} x {gap}" for gap, times in sorted(Counter(rows).items()))


def figures():
    """All of them."""
    whole = yoke(200)
    yield Figure("cuff of a body of 200: 20 %", WOOL, 40, whole.cuff)
    yield Figure("upper arm of a body of 200: 33 %", WOOL, 66, whole.sleeve)
    yield Figure("first yoke round of a body of 200: 133 %", WOOL, 266, whole.joined, 2)
    yield Figure("neck of a body of 200: 40 %", WOOL, 80, whole.narrowing[-1].after)
    magic = "getknitting.com, “Knitting and the Magic Formula”"
    yield Figure("36 over 140 rows", magic, "4 x 3, 32 x 4", spaced(taper(36, 140).gaps))
    own = "designyourownsweater.blogspot.com, 2007, “Sleeve”"
    yield Figure("42 over 176 rows", own, "34 x 4, 8 x 5", spaced(taper(42, 176).gaps))
    evenly = "Modern Daily Knitting, “Techniques in Depth: Evenly Across”, its rule"
    yield Figure("increase 8 evenly in 115", evenly, "5 x 14, 3 x 15", spaced(gaps(115, 8)))
    around = (85, 93, 103, 113, 123, 133, 143, 153, 163)
    for size, cm in zip(BODY_SIZES, around, strict=True):
        yield Figure(f"cardigan {size}, around, cm", HEAVEN, cm, cardigan(size)["around"], 6)
    for size, cm in zip(BODY_SIZES, (35, 38, 41, 44, 46, 48, 50, 51, 56), strict=True):
        # A back of ours moves in its ease, and is wider where a picked-up sleeve would hang.
        yield Figure(f"cardigan {size}, back, cm", HEAVEN, cm, cardigan(size)["back width"], 6.6)
    for size in ("XS", "5X"):
        depth = cardigan(size)["armhole depth"]
        yield Figure(f"cardigan {size}, armhole in 20 to 29 cm", HEAVEN, 24.5, depth, 5.6)
    inches = {
        "cross_back": (9.25, 9.75, 10.25, 10.75, 11.25, 12, 12.25, 13),
        "upper_arm": (7, 7.5, 8, 8.5, 8.75, 9, 9.25, 9.5),
    }
    for name, row in inches.items():
        for (size, body), inch in zip(CHILD_SIZES.items(), row, strict=True):
            what = f"child of {size}, {name.replace('_', ' ')}, in"
            yield Figure(what, CHILDREN, inch, round(getattr(body, name) / 2.54, 2), 0.03)
    heel = Heel(64)
    yield Figure("heel flap of a sock of 64: half", SOCK, 32, heel.heel)
    yield Figure("heel turned of a sock of 64", SOCK, 18, heel.turned)
    yield Figure("picked up on either side of a sock of 64: a quarter", SOCK, 16, heel.gusset)
    for size in ("M", "men L"):
        n = counts(make_plan("raglan", read_gauge("20 x 28"), size=size))
        sixth = round((n.back + n.underarm) / 6, 1)
        yield Figure(f"raglan {size}, underarm: a sixth of the back", RAGLAN, sixth, n.underarm, 1)
        third = round(n.back / 3, 1)
        yield Figure(f"raglan {size}, neck: a third of the back", TEXTBOOK, third, n.neck[0], 1)


def test_there_are_25_and_each_has_its_source():
    every = list(figures())
    assert len({one.what for one in every}) == len(every) >= 25
    assert all(one.source for one in every)
    for one in every:
        if isinstance(one.published, str):
            assert one.ours == one.published, one
        else:
            assert one.ours == pytest.approx(one.published, abs=one.within or 1e-9), one


def main():
    """List them."""
    every = list(figures())
    for one in every:
        span = f" (within {one.within:g})" if one.within else ""
        print(f"{one.what}: published {one.published}, ours {one.ours}{span}. {one.source}")
    print(f"{len(every)} published figures")
    return 0


if __name__ == "__main__":
    sys.exit(main())
