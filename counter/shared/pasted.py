"""A pattern's text as it came: read, its open lines settled, and the plan that comes of it."""

from collections.abc import Iterable

from engine.pattern.check import check_pattern
from engine.pattern.make import plan_from_text
from engine.pattern.settle import settled
from engine.plan.listed.garment import check_list, is_list, plan_of_list
from models.gauge import Gauge
from models.pattern import LineRead, PatternCheck
from models.plan import Plan
from models.script import Hand

ASKED_ABOUT = 12
"""Lines that were not read and are asked about; beyond that the text is mended first."""


def read_pasted(text: str, gauge: Gauge | None = None) -> PatternCheck:
    """What was read of it: a written pattern, or a list of numbers. Raises Refusal for neither."""
    return check_list(text, gauge) if is_list(text) else check_pattern(text, gauge)


def open_lines(checked: PatternCheck) -> list[LineRead]:
    """The lines that were not read and are asked about."""
    return [line for line in checked.lines if line.taken_as == "unread"][:ASKED_ABOUT]


def settle(text: str, answers: Iterable[tuple[LineRead, str | None]]) -> str:
    """The text with lines as they are meant: a reading, nothing for talk, None as it stands.

    `answers` are in the order of the text. Raises Refusal as `settled` does.
    """
    # From the end on: what is settled may change the number of lines.
    for line, answer in reversed(list(answers)):
        if answer is not None:
            text = settled(text, line, answer)
    return text


def plan_of_pasted(
    text: str, called: str, *, size: str, gauge: Gauge | None, hand: Hand, ball_loops: int | None
) -> Plan:
    """The plan of a text; `called` is its title where it has none. Raises Refusal."""
    if is_list(text):
        return plan_of_list(text, size=size, gauge=gauge, hand=hand, ball_loops=ball_loops)
    return plan_from_text(text, called, size=size, gauge=gauge, hand=hand, ball_loops=ball_loops)
