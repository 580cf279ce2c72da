"""What a design is to the rest: what it asks for, what it assumes, and how it is worked."""

from collections.abc import Callable
from dataclasses import dataclass

from models.plan import DesignInfo, MeasureSpec, Plan
from models.script import RowScript


@dataclass(frozen=True)
class Design:
    """A built-in design."""

    info: DesignInfo
    defaults: Callable[[str], dict[str, float]]
    """Measurements in cm by name, for a size of `info.sizes`; the size is empty without sizes."""
    build: Callable[[Plan], RowScript]
    """The script of a plan. Raises Refusal where none can be worked."""
    usual: str = ""
    """The size that is meant when none is said; empty for a design without sizes."""


def spec(name: str, label: str, why: str, low: float, high: float) -> MeasureSpec:
    """Shorthand for a measurement that a design asks for; bounds in cm."""
    return MeasureSpec(name=name, label=label, why=why, low=low, high=high)


def scaled(plan: Plan) -> dict[str, float]:
    """The plan's measurements in cm at its scale (1 but for a practice piece)."""
    return {name: value * plan.scale for name, value in plan.measures.items()}


def even(value: float) -> int:
    """The nearest even whole number, at least 2."""
    return max(2, 2 * round(value / 2))
