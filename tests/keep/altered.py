"""Designs as a later release might have them, put in the place of today's."""

import pytest

from engine import designs
from engine.designs.design import Design
from engine.plan import planning
from models.plan import Plan
from models.script import Kind, RowScript, Step


def one_look_more(script: RowScript, after: int) -> RowScript:
    """The script with another look at the back after its `after`th step."""
    look = Step(
        number=0,
        part=script.steps[after - 1].part,
        kind=Kind.BACK_CHECK,
        loops_before=script.steps[after - 1].loops_after,
        loops_after=script.steps[after - 1].loops_after,
        held=script.steps[after - 1].held,
        yarn_loops=0,
        note="One look more",
    )
    steps = [*script.steps[:after], look, *script.steps[after:]]
    numbered = (step.model_copy(update={"number": n}) for n, step in enumerate(steps, 1))
    return script.model_copy(update={"steps": tuple(numbered)})


def alter(monkeypatch: pytest.MonkeyPatch, after: int = 3) -> None:
    """Every design, and every written pattern, gets a look more after its `after`th step."""

    def changed(old: Design) -> Design:
        return Design(
            old.info, old.defaults, lambda plan: one_look_more(old.build(plan), after), old.usual
        )

    for name, old in designs.DESIGNS.items():
        monkeypatch.setitem(designs.DESIGNS, name, changed(old))
    monkeypatch.setattr(designs.written, "DESIGN", changed(designs.written.DESIGN))
    planning._proven.cache_clear()


def break_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """No design can be asked at all."""

    def never(plan: Plan) -> RowScript:
        raise AssertionError(f"the design {plan.design} was asked")

    for name, old in designs.DESIGNS.items():
        monkeypatch.setitem(designs.DESIGNS, name, Design(old.info, old.defaults, never, old.usual))
    monkeypatch.setattr(
        designs.written,
        "DESIGN",
        Design(designs.written.INFO, designs.written.defaults, never),
    )
    planning._proven.cache_clear()
