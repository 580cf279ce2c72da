"""What spokenrow says of where the work stands. Sentences only; nothing is decided here."""

from engine import wording
from models.script import RowScript, Step
from models.state import MakeState, Mark


def next_step(state: MakeState) -> Step | None:
    """The step after the one in work."""
    after = state.at + 1
    return state.script.steps[after] if after < len(state.script.steps) else None


def part_place(step: Step) -> str:
    """`right front, row 3 of 8`, or the part and the kind of step."""
    return f"{step.part}, {wording.place(step).lower()}"


def start_of(step: Step) -> str:
    """`the start of row 3 of the back`, `the start of the foundation`."""
    if step.counts_row:
        return f"the start of {wording.row_word(step.kind)} {step.row} of the {step.part}"
    return f"the start of the {step.part}'s {step.kind.value}"


def mark_place(mark: Mark, state: MakeState) -> str:
    """`row 7 of the body, loop 12`."""
    row = f"row {mark.row} of the {mark.part}" if mark.row else f"the {mark.part}"
    word = wording.loop_word(state.plan.craft, 1)
    return f"{row}, {word} {mark.loop}" if mark.loop else row


def where(state: MakeState) -> str:
    """The answer to "where am I"."""
    step = state.step
    if step is None or state.closed:
        return "The make is done."
    said = f"{part_place(step)[:1].upper()}{part_place(step)[1:]}."
    if step.operations:
        said += f" {wording.counted(step.loops_after, state.plan.craft)} at its end."
    if marks := state.open_marks:
        said += f" {len(marks)} open {'mark' if len(marks) == 1 else 'marks'}."
    return said


def say(state: MakeState) -> str:
    """The instruction in work, to be spoken."""
    return state.step.spoken if state.step and not state.closed else "The make is done."


def ends_part(script: RowScript, at: int) -> bool:
    """Whether the step at that index is the last of its run of the same part."""
    steps = script.steps
    return at + 1 >= len(steps) or steps[at + 1].part != steps[at].part
