"""Whatever is typed, the check answers: no traceback, no hang, and bounds that hold.

`python -m tests.pattern.fuzz SECONDS` goes on for as long as it is told and prints its figures.
"""

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from engine.base.refusal import Refusal
from engine.pattern.make import plan_from_text
from engine.pattern.text.read import read
from engine.plan.planning import read_gauge
from tests.pattern.fuzz import broken, mutated, one_row, texts, whole
from tests.times import TIMES

_SETTINGS = settings(
    max_examples=30 * TIMES, deadline=None, suppress_health_check=list(HealthCheck)
)


@_SETTINGS
@given(texts())
def test_any_text_is_answered(text: str) -> None:
    whole(text)


@_SETTINGS
@given(mutated())
def test_damaged_patterns_are_answered(text: str) -> None:
    whole(text)


@_SETTINGS
@given(broken(), st.integers(0, 300))
def test_any_row_is_answered(text: str, on: int) -> None:
    one_row(text, on)


@_SETTINGS
@given(texts())
@example("Cast on 20 sts.\nk2\nk\n0000\x0ca\nk")
@example("Cast on 20 sts.\nk20\x0bk10\x1d k10\u2029\u034f\u3164k5\x85p20\x00")
def test_what_a_plan_keeps_reads_as_what_was_typed(text: str) -> None:
    try:
        plan = plan_from_text(text, gauge=read_gauge("20 x 26"))
    except Refusal:
        return
    kept, typed = read(plan.pattern or ""), read(text)
    assert (kept.statements, kept.unread, kept.sizes) == (
        typed.statements,
        typed.unread,
        typed.sizes,
    )
