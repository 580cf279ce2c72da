"""Where something is in the work, in a few words."""

from engine.script import wording
from models.script import Craft, Step
from models.state import Mark


def part_place(step: Step) -> str:
    """`right front, row 3 of 8`, or the part and the kind of step."""
    return f"{step.part}, {wording.place(step).lower()}"


def start_of(step: Step) -> str:
    """`the start of row 3 of the back`, `the start of the foundation`."""
    if step.counts_row:
        return f"the start of {wording.row_word(step.kind)} {step.row} of the {step.part}"
    return f"the start of the {step.part}'s {step.kind.value}"


def mark_place(mark: Mark, craft: Craft) -> str:
    """`row 7 of the body, loop 12`."""
    row = f"row {mark.row} of the {mark.part}" if mark.row else f"the {mark.part}"
    word = wording.loop_word(craft, 1)
    return f"{row}, {word} {mark.loop}" if mark.loop else row
