"""Whatever is typed, the check answers: no traceback, no hang, and bounds that hold.

`python -m tests.pattern.fuzz SECONDS` goes on for as long as it is told and prints its figures.
"""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

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
