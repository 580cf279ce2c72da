"""What a design is to the rest: what it asks for, what it assumes, and how it is worked."""

from collections.abc import Callable
from dataclasses import dataclass

from models.plan import DesignInfo, Plan
from models.script import RowScript
from models.size import BodySize


@dataclass(frozen=True)
class Design:
    """A built-in design."""

    info: DesignInfo
    defaults: Callable[[BodySize | None], dict[str, float]]
    """Measurements in cm by name, for a body of that size."""
    build: Callable[[Plan], RowScript]
    """The script of a plan. Raises Refusal where none can be worked."""


def scaled(plan: Plan) -> dict[str, float]:
    """The plan's measurements in cm at its scale (1 but for a practice piece)."""
    return {name: value * plan.scale for name, value in plan.measures.items()}


def even(value: float) -> int:
    """The nearest even whole number, at least 2."""
    return max(2, 2 * round(value / 2))
