"""Stripes: colours and rows that come in turn, as the maker writes them down."""

import re
from itertools import pairwise

from engine.base.refusal import Refusal
from models.frozen import Frozen

_STRIPE = re.compile(r"\s*(?P<colour>.*\D)\s+(?P<rows>\d{1,4})(?:\s*(?:rows?|rounds?))?\s*")
_MOST = 48
"""Stripes before they begin again: beyond that it is a picture, not stripes."""


class Stripe(Frozen):
    """So many rows in one colour."""

    colour: str
    rows: int


def read_stripes(said: str) -> tuple[Stripe, ...]:
    """`cream 8, sand 4`: 8 rows of cream, 4 of sand, again and again; empty for one colour.

    Raises Refusal for anything else.
    """
    if not said.strip():
        return ()
    found = []
    for piece in said.split(","):
        match = _STRIPE.fullmatch(piece)
        if match is None or not int(match["rows"]):
            raise Refusal(
                f"The stripe {piece.strip()[:40]!r} is not understood: give a colour and its rows, "
                "as in 'cream 8, sand 4'."
            )
        found.append(Stripe(colour=match["colour"].strip(), rows=int(match["rows"])))
    if len(found) > _MOST:
        raise Refusal(f"{len(found)} stripes are too many to come in turn: give {_MOST} at most.")
    if len(found) < 2 or any(one.colour == other.colour for one, other in pairwise(found)):
        raise Refusal("Stripes want two colours or more, no two alike side by side.")
    return tuple(found)


def colour_of(stripes: tuple[Stripe, ...], row: int) -> str:
    """The colour of a row, counted from 1; empty where there are no stripes."""
    if not stripes:
        return ""
    left = (row - 1) % sum(one.rows for one in stripes)
    for one in stripes:
        if left < one.rows:
            return one.colour
        left -= one.rows
    raise AssertionError("the rows of the stripes are their sum")
