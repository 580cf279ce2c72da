"""What a script says once, in the note of the step that first asks for it."""

import re
from collections.abc import Iterable, Iterator, Sequence

from engine.script.wording import SCISSORS
from models.script import Craft, Direction, Kind, Step

INFANTS = "Keep loose loops and yarn away from infants"
_HOW = {
    "dec": "To decrease lay the second of two loops on the first and pull one loop through both",
    "inc": "To increase pull two loops through the same loop, one beside the other",
    "bo": "To bind off pull the second loop through the first, the third through the second, and "
    "so on",
}
"""Said where loop yarn first asks for it, unless the step says it in its own way."""
_SAID = {"dec": "neighbour", "inc": "through the same loop", "bo": "through the first"}
"""A word by which a step's own way is known."""
_ENDS_AT_YARN = "Go from {} to {}, so that the last loop lies where the yarn hangs"
"""How rows are bound off: no yarn is used, and its tail fastens the last loop (common practice, no
source)."""


def explained(steps: Sequence[Step], craft: Craft) -> Iterator[Step]:
    """The steps, with how loop yarn is decreased and increased where that comes first."""
    # A pattern that was written out has it already.
    left = {stitch: how for stitch, how in _HOW.items() if not any(how in s.note for s in steps)}
    if craft is Craft.NEEDLES:
        left = {}
    last: Direction | None = None
    for step in steps:
        new = {o.stitch for o in step.operations} & left.keys()
        hows = [(stitch, left.pop(stitch)) for stitch in sorted(new)]
        said = [how for stitch, how in hows if _SAID[stitch] not in step.note]
        if step.counts_row:
            last = step.direction
        if craft is Craft.LOOP and _ends_rows(step) and last in _TO:
            way = _ENDS_AT_YARN.format(*_TO[last])
            said += [] if way in step.note else [way]
        yield noted(step, *said)


def for_the_other_hand(note: str) -> str:
    """A note of a pattern for one hand as the other one works it: ways, ends, edges and corners.

    The right side, and parts, which are named as they are worn, stay.
    """
    return _LIES.sub(lambda told: _SIDE.sub(lambda side: _OTHER[side[0]], told[0]), note)


_SIDE = re.compile(r"right|left")
_LIES = re.compile(r"\bfrom (right|left) to (right|left)\b|\b(right|left) (end|edge|corner)\b")
_OTHER = {"right": "left", "left": "right"}


def cautioned(steps: Iterable[Step]) -> list[Step]:
    """The steps, with what can hurt said where it first can: infants where the yarn is laid out,
    scissors where it is first cut. What notes say otherwise already is not said again."""
    out = [_without(step, INFANTS, SCISSORS) for step in steps]
    for caution, word, here in ((INFANTS, "infants", _laid_out), (SCISSORS, "scissors", _cut)):
        if not any(word in step.note for step in out):
            at = next((i for i, step in enumerate(out) if here(step)), None)
            if at is not None:
                out[at] = noted(out[at], caution)
    return out


_TO = {Direction.RIGHT_TO_LEFT: ("right", "left"), Direction.LEFT_TO_RIGHT: ("left", "right")}


def _ends_rows(step: Step) -> bool:
    """Whether all that is live is bound off, at one edge of the work."""
    stitches = {o.stitch for o in step.operations}
    around = step.direction is Direction.AROUND
    return step.kind is Kind.BIND_OFF and {"bo", "fasten"} <= stitches and not around


def noted(step: Step, *said: str) -> Step:
    """The step, with these sentences after its note."""
    note = ". ".join(filter(None, (step.note, *said)))
    return step.model_copy(update={"note": note})


def _without(step: Step, *said: str) -> Step:
    """The step, without these sentences at the end of its note."""
    for sentence in said:
        before, end = step.note[: -len(sentence)], step.note[-len(sentence) :]
        if end == sentence and (not before or before.endswith(". ")):
            step = step.model_copy(update={"note": before.removesuffix(". ")})
    return step


def _laid_out(step: Step) -> bool:
    return bool(step.operations)


def _cut(step: Step) -> bool:
    if step.kind is Kind.FOUNDATION:
        return False  # its tail is only left
    return step.kind is Kind.FINISH or any(o.stitch == "tail" for o in step.operations)
