"""Designs as a later release might have them, put in the place of today's."""

from collections.abc import Callable

import pytest

from engine.designs import DESIGNS, design
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


def put(monkeypatch: pytest.MonkeyPatch, name: str, build: Callable[[Plan], RowScript]) -> None:
    """The design of that name is built by `build` from now on."""
    old = design(name)
    new = Design(old.info, old.defaults, build, old.usual)
    monkeypatch.setattr(f"engine.designs.{name.replace('-', '_')}.DESIGN", new)
    planning._proven.cache_clear()


def alter(monkeypatch: pytest.MonkeyPatch, after: int = 3) -> None:
    """Every design, and every written pattern, gets a look more after its `after`th step."""

    def changed(old: Design) -> Callable[[Plan], RowScript]:
        return lambda plan: one_look_more(old.build(plan), after)

    for name in (*DESIGNS, "written"):
        put(monkeypatch, name, changed(design(name)))


def break_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """No design can be asked at all."""

    def never(plan: Plan) -> RowScript:
        raise AssertionError(f"the design {plan.design} was asked")

    for name in (*DESIGNS, "written"):
        put(monkeypatch, name, never)
