"""Which movements a step asks of the hands."""

from engine.draw.movement.movements import MOVEMENTS
from engine.draw.movement.on_needles import ON_NEEDLES
from models.movement import Movement
from models.script import Craft, Step
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


_ON_NEEDLES = {
    **{key: key for key in ("k2tog", "p2tog", "ssk", "m1l", "m1r", "kfb", "yo", "sl")},
    "k": "knit",
    "p": "purl",
    "co": "foundation",
    "pick up": "pick up",
    "bo": "bind off",
    "pair": "shoulder",
    "3nbo": "shoulder",
    "graft": "graft",
    "fasten": "tail",
    "tail": "tail",
    "join": "join",
}
"""No stitch stands for another here: what is not named has no words."""


def movements(craft: Craft) -> dict[str, Movement]:
    """All there are for a craft: drawn for loop yarn, in words for needles."""
    return ON_NEEDLES if craft is Craft.NEEDLES else MOVEMENTS


def movement_of(stitch: Stitch) -> Movement | None:
    """The movement of a stitch or handling in loop yarn; None for what needs none."""
    key = _BY_KEY.get(stitch.key)
    if key is None and stitch.role is Role.DECREASE and stitch.takes > 1:
        key = "decrease"
    if key is None and stitch.role is Role.INCREASE and stitch.takes == 1:
        key = "increase"
    if key is None and stitch.role is Role.WORKED:
        key = "purl" if stitch.key.startswith("p") else "knit"
    return MOVEMENTS[key] if key else None


def _movement_in(stitch: Stitch, craft: Craft) -> Movement | None:
    if craft is Craft.LOOP:
        return movement_of(stitch)
    return ON_NEEDLES.get(_ON_NEEDLES.get(stitch.key, ""))


def shown(step: Step | None, craft: Craft = Craft.LOOP) -> tuple[Movement, ...]:
    """What to show for a step, each movement once, in the order of the work; else all there are."""
    found = [_movement_in(o.entry, craft) for o in step.operations] if step else []
    own = {one.key: one for one in found if one}
    if len(own) > 1:
        own = {key: one for key, one in own.items() if key not in _QUIET}
    return tuple(own.values()) or tuple(movements(craft).values())
