"""Side and direction of a row, and what the row after it will have where it does not say."""

from typing import NamedTuple

from engine.pattern.count.ledger import Ledger
from engine.pattern.text.numbers import Spot
from models.script import Craft, Direction

FLIP = {"RS": "WS", "WS": "RS"}


class Way(NamedTuple):
    """How a row is worked: where the hand goes, and which side faces."""

    direction: Direction | None
    side: str | None


def travel(
    ledger: Ledger, rounds: bool, side: str | None, direction: str | None, spot: Spot
) -> Way:
    """How the next row is worked. `side` and `direction` are as marked on it: None where it says
    nothing, empty where it says that there is none.
    """
    if rounds:
        return Way(_said(direction, Direction.AROUND), None)
    if ledger.craft is Craft.NEEDLES:
        return _turned(ledger, side, direction, spot)
    return _to_and_fro(ledger, side, direction, spot)


def _said(direction: str | None, usual: Direction) -> Direction | None:
    """The direction that is marked, or the usual one; None where it has none."""
    if direction == "":
        return None
    return Direction(direction) if direction else usual


def _turned(ledger: Ledger, side: str | None, direction: str | None, spot: Spot) -> Way:
    """On needles the work is turned: right and wrong side in turn, each from right to left."""
    stood = ledger.standing
    if stood is not None and stood.ring:
        expected = "WS" if stood.back else "RS"
    else:
        expected = ledger.next_side or "RS"
        if side and ledger.next_side and side != expected:
            _wrong_side(ledger, side, expected, spot)
    now = None if side == "" else side or expected
    ledger.next_side = FLIP[now] if now else None
    return Way(_said(direction, Direction.RIGHT_TO_LEFT), now)


def _to_and_fro(ledger: Ledger, side: str | None, direction: str | None, spot: Spot) -> Way:
    """Loop yarn is not turned: right to left and back; the sides only say which of the two."""
    usual = ledger.next_direction or Direction.RIGHT_TO_LEFT
    if side and not direction and ledger.next_direction is None:
        usual = Direction.RIGHT_TO_LEFT if side == "RS" else Direction.LEFT_TO_RIGHT
    going = Direction(direction) if direction else usual
    if side and direction is None and (side == "RS") != (going is Direction.RIGHT_TO_LEFT):
        _wrong_side(ledger, side, FLIP[side], spot)
    ledger.next_direction = going.back
    return Way(None if direction == "" else going, None)


def _wrong_side(ledger: Ledger, said: str, comes: str, spot: Spot) -> None:
    ledger.warn(
        spot,
        f"is marked {said}, and comes as a {comes} row",
        "work one row more or fewer before it, or mark it so",
    )


def side_after(ledger: Ledger, rows: int) -> str:
    """Side of the last of so many rows from here."""
    if ledger.craft is Craft.NEEDLES:
        first = ledger.next_side or "RS"
    else:
        going = ledger.next_direction or Direction.RIGHT_TO_LEFT
        first = "RS" if going is Direction.RIGHT_TO_LEFT else "WS"
    return first if rows % 2 else FLIP[first]
