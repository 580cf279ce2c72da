"""Stripes and blocks: colours and rows that come in turn, as the maker writes them down.

`cream 8, sand 4` is 8 rows of cream and 4 of sand, again and again. Where colours lie side by side
in a row a line stands between them: `cream | sand 20, sand | cream 20` is a chequered piece, and `2
cream | sand 30` has twice as much cream as sand.
"""

import re
from itertools import pairwise

from engine.base.refusal import Refusal
from models.frozen import Frozen

_STRIPE = re.compile(r"\s*(?P<colour>.*\D)\s+(?P<rows>\d{1,4})(?:\s*(?:rows?|rounds?))?\s*")
_BLOCK = re.compile(r"(?:(?P<share>\d{1,2})\s+)?(?P<colour>.*\S)")
_MOST = 48
"""Stripes before they begin again: beyond that it is a picture, not stripes."""


_SIDE_BY_SIDE = 12
"""Blocks side by side: each has a ball of its own hanging (common practice, no source)."""


class Block(Frozen):
    """One of the colours side by side in a row, and its share of the width."""

    yarn: str
    """Its colour, and where that comes several times in the row, which of its balls."""
    share: int


class Stripe(Frozen):
    """So many rows in one colour, or in blocks of several."""

    colour: str
    """As it is written, `cream` or `cream | sand`."""
    rows: int

    @property
    def blocks(self) -> tuple[Block, ...]:
        """The colours as they lie from left to right on the right side; one for a plain stripe."""
        found: list[Block] = []
        seen: dict[str, int] = {}
        for piece in self.colour.split("|"):
            match = _BLOCK.fullmatch(piece.strip())
            colour = match["colour"] if match else ""
            seen[colour] = seen.get(colour, 0) + 1
            yarn = colour if seen[colour] == 1 else f"{colour}{OTHER_BALL}{seen[colour]}"
            found.append(Block(yarn=yarn, share=int(match["share"] or 1) if match else 0))
        return tuple(found)


OTHER_BALL = ", ball "
"""Tells the yarns of one colour apart that hang at once: `cream`, `cream, ball 2`."""


def colour_name(yarn: str) -> str:
    """The colour of a yarn."""
    return yarn.partition(OTHER_BALL)[0]


def read_stripes(said: str) -> tuple[Stripe, ...]:
    """What comes in turn, from the first row on; empty for one colour. One band of blocks alone
    needs no rows: `cream | sand`.

    Raises Refusal for anything else.
    """
    if not said.strip():
        return ()
    if '"' in said:
        raise Refusal("A colour is written without quotation marks: 'cream 8, sand 4'.")
    pieces = said.split(",")
    if len(pieces) == 1 and "|" in said and not _STRIPE.fullmatch(said):
        pieces = [f"{said} 1"]
    found = []
    for piece in pieces:
        match = _STRIPE.fullmatch(piece)
        if match is None or not int(match["rows"]):
            raise Refusal(
                f"The stripe {piece.strip()[:40]!r} is not understood: give a colour and its rows, "
                "as in 'cream 8, sand 4'; between blocks side by side put a line, as in "
                "'cream | sand 20'."
            )
        found.append(_checked(Stripe(colour=match["colour"].strip(), rows=int(match["rows"]))))
    if len(found) > _MOST:
        raise Refusal(f"{len(found)} stripes are too many to come in turn: give {_MOST} at most.")
    alone = len(found) < 2 and len(found[0].blocks) < 2
    if alone or any(one.colour == other.colour for one, other in pairwise(found)):
        raise Refusal("Stripes want two colours or more, no two alike side by side.")
    return tuple(found)


def _checked(stripe: Stripe) -> Stripe:
    """The stripe. Raises Refusal where its blocks make no sense."""
    blocks = stripe.blocks
    told = stripe.colour[:40]
    if any(not block.share or not block.yarn for block in blocks):
        raise Refusal(
            f"The blocks {told!r} are not understood: write a colour on either side of each line, "
            "as in 'cream | sand'."
        )
    if len(blocks) > _SIDE_BY_SIDE:
        raise Refusal(
            f"{len(blocks)} blocks side by side are too many balls at once: give {_SIDE_BY_SIDE} "
            "at most."
        )
    if any(colour_name(one.yarn) == colour_name(other.yarn) for one, other in pairwise(blocks)):
        raise Refusal(f"In {told!r} two blocks of one colour lie side by side: make them one.")
    return stripe


def band_of(stripes: tuple[Stripe, ...], row: int) -> Stripe:
    """The stripe or band of blocks to which a row belongs, counted from 1."""
    left = (row - 1) % sum(one.rows for one in stripes)
    for one in stripes:
        if left < one.rows:
            return one
        left -= one.rows
    raise AssertionError("the rows of the stripes are their sum")


def colour_of(stripes: tuple[Stripe, ...], row: int) -> str:
    """The colour of a row, counted from 1; empty where there are no stripes."""
    return band_of(stripes, row).colour if stripes else ""


def read_balls(said: str) -> dict[str, int]:
    """How many balls of each colour, in their order: `cream 3, sand 2`.

    Raises Refusal for what is none, and for a colour that comes twice.
    """
    found: dict[str, int] = {}
    for piece in said.split(","):
        match = _STRIPE.fullmatch(piece)
        if match is None:
            raise Refusal(
                f"The balls {piece.strip()[:40]!r} are not understood: give a colour and how many "
                "there are of it, as in 'cream 3, sand 2'."
            )
        colour = match["colour"].strip()
        if "|" in colour:
            raise Refusal(f"{colour!r} is two colours: give the balls of each by itself.")
        if colour in found:
            raise Refusal(f"{colour} stands there twice: give all its balls in one place.")
        found[colour] = int(match["rows"])
    return found
