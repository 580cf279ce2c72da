"""The pages of the screens as plain lines: the piece, the movements, the settings."""

from collections.abc import Iterator

from counter.shared import setting_lines
from counter.shared.settings import Settings
from engine.advise.sums import SUMS, asked
from engine.base.refusal import Refusal
from engine.draw.movement.shown import shown
from engine.make import answers
from models.command import Page
from models.state import MakeState


def sum_of(line: str) -> tuple[str, ...]:
    """What a line such as `taper 36 over 140` comes to; none for one that is no sum."""
    name = line.strip().partition(" ")[0].casefold()
    if name not in {one.name for one in SUMS}:
        return ()
    try:
        return asked(line.strip()).lines
    except Refusal as refusal:
        return (str(refusal),)


def lines(page: Page, state: MakeState | None, settings: Settings) -> Iterator[str]:
    """A page in lines, lengths in cm; none for a page that has no words."""
    if page is Page.PIECE and state is not None:
        yield from answers.piece(state)
    elif page is Page.HOW:
        for movement in shown(state.step, state.plan.craft) if state else shown(None):
            yield f"{movement.title}."
            for number, stage in enumerate(movement.stages, start=1):
                yield f"{number}. {stage.sentence}"
    elif page is Page.SUMS:
        for one in SUMS:
            yield f"{one.name} {one.example}: {one.what}."
    elif page is Page.SETTINGS:
        yield from setting_lines.told(settings)
        yield "To set one, write set, its name and its value, as in 'set unit in'."
