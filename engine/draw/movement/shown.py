"""Which movements a step asks of the hands."""

from engine.draw.movement.movements import MOVEMENTS
from models.movement import Movement
from models.script import Step
from models.stitch import Role, Stitch

_BY_KEY = {
    "co": "foundation",
    "pick up": "pick up",
    "free": "pick up",
    "bo": "bind off",
    "fasten": "tail",
    "seam": "shoulder",
    "pair": "shoulder",
    "3nbo": "shoulder",
    "graft": "graft",
    "tail": "tail",
    "join": "join",
}
_QUIET = {"tail"}
"""Shown by what it belongs to, where there is something else to show."""


def movement_of(stitch: Stitch) -> Movement | None:
    """The movement of a stitch or handling; None for what needs none."""
    key = _BY_KEY.get(stitch.key)
    if key is None and stitch.role is Role.DECREASE and stitch.takes > 1:
        key = "decrease"
    if key is None and stitch.role is Role.INCREASE and stitch.takes == 1:
        key = "increase"
    if key is None and stitch.role is Role.WORKED:
        key = "purl" if stitch.key.startswith("p") else "knit"
    return MOVEMENTS[key] if key else None


def shown(step: Step | None) -> tuple[Movement, ...]:
    """What to show for a step, each movement once, in the order of the work; else all there are."""
    found = [movement_of(o.entry) for o in step.operations] if step else []
    own = {one.key: one for one in found if one}
    if len(own) > 1:
        own = {key: one for key, one in own.items() if key not in _QUIET}
    return tuple(own.values()) or tuple(MOVEMENTS.values())
