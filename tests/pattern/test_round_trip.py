"""Every built-in design, written out step by step in the notation, is read back the same."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.pattern.make import plan_from_text, script_of
from engine.plan.planning import make_plan, read_gauge, script_for
from models.script import Craft, RowScript
from tests.pattern.literal import literal
from tests.times import TIMES

_GAUGES = {Craft.LOOP: "5 x 3.75", Craft.NEEDLES: "20 x 26"}


def _sizes(name: str, sizes: tuple[str, ...]) -> tuple[str, ...]:
    """Some of the cardigan's, the smallest of others: what a row says does not go by its size."""
    if name == "cardigan":
        return sizes[::4]
    return ("2",) if "2" in sizes else sizes[:1] or ("",)


CASES = [
    (name, craft, size)
    for name, design in DESIGNS.items()
    for craft in design.info.crafts
    for size in _sizes(name, design.info.sizes)
]


def _as_written(script: RowScript) -> RowScript:
    """The script without what a design claims beside it, and no pattern says."""
    return script.model_copy(update={"alike": (), "regular": ()})


@pytest.mark.parametrize(("name", "craft", "size"), CASES)
def test_designs_come_back(name: str, craft: Craft, size: str) -> None:
    try:
        script = script_for(make_plan(name, read_gauge(_GAUGES[craft]), size=size, craft=craft))
    except Refusal:
        return  # no sound script exists at this gauge
    again = script_of(plan_from_text(literal(script), size=script.size))
    for ours, theirs in zip(script.steps, again.steps, strict=True):
        assert ours == theirs
    assert again == _as_written(script)


@settings(max_examples=5 * TIMES, deadline=None)
@given(
    st.floats(3, 9, allow_nan=False),
    st.floats(0.6, 1.6),
    st.sampled_from(["S", "L", "2X"]),
)
def test_at_any_gauge(loops: float, ratio: float, size: str) -> None:
    """Odd gauges come back to the last digit, since the text holds all of them."""
    try:
        plan = make_plan("cardigan", read_gauge(f"{loops!r} x {loops / ratio!r}"), size=size)
        script = script_for(plan)
    except Refusal:
        return
    assert script_of(plan_from_text(literal(script), size=size)) == _as_written(script)
