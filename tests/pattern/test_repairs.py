"""Whatever is offered as a repair is right: it is read, and the row comes out with it.

Rows are made up, then put on other loops or damaged as a hand or a scanner would.
"""

import re
from random import Random

import pytest

from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern, check_row
from engine.pattern.settle import settled
from models.pattern import Fault, Severity
from tests.pattern.apart.rows import row, takes
from tests.pattern.apart.spelling import Speller
from tests.times import times

NUMBER = re.compile(
    r"\d+|\b(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)\b", re.I
)


def faults(text: str, on: int) -> list[Fault]:
    return [f for f in check_row(text, on).faults if f.severity is Severity.FAULT]


def trials(text: str, on: int, repair: str) -> list[tuple[str, int]]:
    """The rows, and on how many loops, that a repair promises to come out."""
    found: list[tuple[str, int]] = []
    if write := re.match(r"write \w(\d+) for \w\d+ \(column (\d+)\)", repair):
        at = int(write[2]) - 1
        found.append((text[:at] + NUMBER.sub(write[1], text[at:], count=1), on))
    if end := re.search(r"end the row with k(\d+)", repair):
        found.append((f"{text.rstrip('. ')}, k{end[1]}", on))
    if more := re.search(r"have (\d+) more", repair):
        found.append((text, on + int(more[1])))
    if fewer := re.search(r"(\d+) fewer", repair):
        found.append((text, on - int(fewer[1])))
    return found


def test_a_row_on_other_loops_comes_out_as_is_offered() -> None:
    chance, tried = Random(23), 0
    for _ in range(times(60)):
        made = row(chance)
        text = Speller(chance).row(made)[0]
        on = takes(made) + chance.choice((-3, -2, -1, 1, 2, 5))
        if not 0 < on < 400:
            continue
        try:
            found = faults(text, on)
        except Refusal:
            continue
        for other, there in trials(text, on, found[0].repair) if found else ():
            tried += 1
            assert faults(other, there) == [], (text, on, found[0].repair)
    assert tried > 25


def damaged(text: str, chance: Random) -> str:
    """The row as a hand slips: a letter too many, too few, exchanged, a bracket or a word lost."""
    at = chance.randrange(len(text))
    match chance.randrange(5):
        case 0:
            return text[:at] + text[at + 1 :]
        case 1:
            return text[:at] + text[at : at + 2][::-1] + text[at + 2 :]
        case 2:
            return text[:at] + chance.choice("qxwvj") + text[at:]
        case 3:
            brackets = [i for i, sign in enumerate(text) if sign in "()[]{}"]
            at = chance.choice(brackets) if brackets else at
            return text[:at] + text[at + 1 :]
        case _:
            words = text.split(" ")
            words.insert(chance.randrange(len(words) + 1), chance.choice(("blorp", "the sky,")))
            return " ".join(words)


def page(text: str, on: int) -> str:
    return f"Gauge: 20 x 26\nCraft: needles\nCast on {on} sts.\nRow 1: {text}\n"


def test_what_is_offered_for_a_damaged_row_is_read_and_comes_out() -> None:
    chance, offered = Random(29), 0
    for _ in range(times(16)):
        made = row(chance)
        if not 0 < takes(made) < 200:
            continue
        text = page(damaged(Speller(chance).row(made)[0], chance), takes(made))
        checked = check_pattern(text)
        for line in (line for line in checked.lines if line.taken_as == "unread"):
            told = [f.repair for f in checked.faults if f.severity is Severity.UNREAD]
            for reading in line.nearest:
                offered += 1
                after = check_pattern(settled(text, line, reading))
                wrong = [f for f in after.faults if f.severity is not Severity.WARNING]
                assert wrong == [], (text, reading)
                assert f"perhaps {line.nearest[0]!r} is meant" in told
    assert offered


@pytest.mark.parametrize(
    ("written", "never"),
    [
        ("Row 1: k2, wrok 3 frogs, k15.", "k2."),  # nothing that is counted is left out
        ("Work Chart A until piece measures 10 cm.", "Work until"),
        ("Row 1: *p2, turn, k2, frob 3, turn; rep from * to end.", "Row 1: *p2"),
    ],
)
def test_no_silly_guess(written: str, never: str) -> None:
    text = f"Gauge: 20 x 26\nCraft: needles\nCast on 20 sts.\n{written}\nBind off.\n"
    lines = [line for line in check_pattern(text).lines if line.taken_as == "unread"]
    assert lines
    assert not any(near.startswith(never) for line in lines for near in line.nearest)


def test_a_bracket_is_closed_where_the_row_comes_out() -> None:
    text = page("k2, (k1, p1 3 times, k2.", 10)
    (line,) = (line for line in check_pattern(text).lines if line.taken_as == "unread")
    assert line.nearest[0] == "Row 1: k2, (k1, p1) 3 times, k2."
