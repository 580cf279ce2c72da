"""One made-up row, given to the engine and to the hands."""

from dataclasses import dataclass
from enum import Enum
from random import Random

from engine.base.refusal import Refusal
from engine.pattern.check import check_row
from models.pattern import Severity
from tests.pattern.apart.hands import worked
from tests.pattern.apart.rows import Node, Repeat, row, stitches, takes
from tests.pattern.apart.spelling import LABELS, Speller, claim

LOOPS_AT_MOST = 900


class Outcome(Enum):
    """What the engine made of a row."""

    RIGHT = "right"
    WRONG = "WRONG"
    """It took the row, and counted otherwise."""
    OTHERWISE = "read otherwise, and told so"
    """It does not come out on these loops; another reading does, and a warning says which."""
    ASKED = "asked"
    """It found a fault, or did not know which of two readings was meant."""
    UNREAD = "not read"


@dataclass(frozen=True)
class Told:
    """A row, what was done with it and why."""

    text: str
    on: int
    outcome: Outcome
    why: str
    how: str
    claimed: str
    label: str


def _on(nodes: tuple[Node, ...], more: int) -> tuple[Node, ...]:
    """The same row with its open repeat worked `more` times more."""
    return tuple(
        Repeat(n.body, n.times + more, open=True) if isinstance(n, Repeat) and n.open else n
        for n in nodes
    )


def trial(chance: Random) -> Told:
    """Make a row up, spell it, and compare. Now and then it stands on other loops than it needs."""
    nodes = row(chance)
    while not 0 < takes(nodes) <= LOOPS_AT_MOST:
        nodes = row(chance)
    speller = Speller(chance)
    text, how = speller.row(nodes)
    off = 0 if speller.loose else chance.choice((0,) * 12 + (1, -1, 2, 3))
    on = max(0, takes(nodes) + off)
    label = chance.choice(LABELS)
    fitting = _fitting(nodes, on)
    if fitting is None and "end X" in how:
        fitting = _broken_off(nodes, on)
    if fitting is None and how.startswith("rep from * n times"):
        # the first time may be counted in or not
        fitting = _fitting(_other(nodes, 1 if "counted in" in how else -1), on)
    after, claimed = "", ""
    if fitting is not None and off == 0:
        after, claimed = claim(chance, on, fitting)
    text = label + text + after
    try:
        told = check_row(text, on)
    except Refusal as problem:
        return Told(text, on, Outcome.UNREAD, str(problem), how, claimed, label)
    faults = [f.text for f in told.faults if f.severity is not Severity.WARNING]
    if faults:
        return Told(text, on, Outcome.ASKED, faults[0], how, claimed, label)
    outcome = Outcome.WRONG
    if fitting is None and any(f.text.startswith("is read so that") for f in told.faults):
        outcome = Outcome.OTHERWISE
    if fitting is not None and (told.takes, told.leaves) == (on, fitting):
        outcome = Outcome.RIGHT
    why = f"{told.takes} to {told.leaves}, and by hand {on} to {fitting}"
    return Told(text, on, outcome, why, how, claimed, label)


def _other(nodes: tuple[Node, ...], more: int) -> tuple[Node, ...]:
    """The same row with its repeat worked once more or less."""
    return tuple(Repeat(n.body, n.times + more) if isinstance(n, Repeat) else n for n in nodes)


def _broken_off(nodes: tuple[Node, ...], on: int) -> int | None:
    """The same with the last repeat broken off; a yarn over at the break is kept."""
    at = next(i for i, n in enumerate(nodes) if isinstance(n, Repeat) and n.open)
    wide = nodes[at]
    assert isinstance(wide, Repeat)
    found = None
    for cut in range(1, len(wide.body)):
        for times in range(on + 1):
            row = (*nodes[:at], Repeat(wide.body, times), *wide.body[:cut], *nodes[at + 1 :])
            if takes(row) >= on:
                break
        if takes(row) == on:
            found = worked(stitches(row), on)[1]
    return found


def _fitting(nodes: tuple[Node, ...], on: int) -> int | None:
    """What the hands have on `on` loops; None where the row does not come out on them."""
    wide = [n for n in nodes if isinstance(n, Repeat) and n.open]
    if wide:
        each = takes(wide[0].body)
        more, over = divmod(on - takes(nodes), each)
        if over or wide[0].times + more < 0:
            return None
        nodes = _on(nodes, more)
    elif takes(nodes) != on:
        return None
    left, right = worked(stitches(nodes), on)
    return right if not left else None
