"""The few words of a step that must be readable from across the room.

A step's whole instruction is a sentence (`engine.wording`); this is what is left of it when only
a handful of letters fit: the stitch and its number, and whether it changes the loop count.
"""

from models.frozen import Frozen
from models.script import Craft, Kind, Operation, Step

_LOOKS = {
    Kind.BACK_CHECK: ("look at the back", "back ok"),
    Kind.FIT_CHECK: ("try it on", "try on"),
    Kind.FINISH: ("finish", "finish"),
}
_QUIET = frozenset({"tail", "join", "fasten", "sm"})
"""Handlings that the sentence tells and the hands do by the way."""
_MOST = 4
"""More stitches than this in a row are a pattern: they are shown by their abbreviations."""


class Headline(Frozen):
    """One stretch of a row, as big as it can be shown."""

    words: str
    short: str
    """The same by the standard abbreviation, for a narrow screen."""
    shaping: bool = False
    """It changes how many loops are live."""


def headline(step: Step, craft: Craft) -> tuple[Headline, ...]:
    """What the hands do in a step, in the order in which they do it; never empty."""
    if step.kind is Kind.MEASURE:
        target = (
            (Headline(words=f"{step.target_cm:g} cm", short=f"{step.target_cm:g} cm"),)
            if step.target_cm
            else ()
        )
        return (Headline(words="measure", short="tape"), *target)
    worked = [o for o in step.operations if not o.entry.regroups and o.stitch not in _QUIET]
    if not worked:
        words, short = _LOOKS.get(step.kind, (step.kind.value, step.kind.value))
        return (Headline(words=words, short=short),)
    if len(worked) > _MOST:
        return tuple(
            one.model_copy(update={"words": one.short})
            for one in (_stretch(operation, craft) for operation in worked)
        )
    # Two markers placed in one go are one thing to do.
    return tuple(dict.fromkeys(_stretch(operation, craft) for operation in worked))


def _stretch(operation: Operation, craft: Craft) -> Headline:
    times, entry = operation.times, operation.entry
    shaping = entry.takes != entry.leaves
    match operation.stitch:
        case "co":
            words = f"count {times}" if craft is Craft.LOOP else f"cast on {times}"
        case "seam":
            words = f"chain {times}"
        case "pm" | "rm":
            # Which marker, and where, is the sentence's business.
            words = entry.name
            return Headline(words=words, short=operation.stitch)
        case _:
            words = f"{entry.name} {times}"
    return Headline(words=words, short=f"{operation.stitch} {times}", shaping=shaping)
