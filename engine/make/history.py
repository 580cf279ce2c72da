"""A make's events as sentences, for a person who wants to know what happened."""

from collections.abc import Iterable

from engine.base.plural import some
from engine.make.trail import Trail
from engine.script import places
from models.event import (
    Accepted,
    Advanced,
    Dropped,
    Event,
    FitVerdict,
    Measured,
    MoreRows,
    NewBall,
    Noted,
    Repaired,
    Replanned,
    RippedBack,
    Undone,
)
from models.frozen import Frozen
from models.plan import Begun
from models.state import MakeState

_PLAIN = {
    "pause": "the work was laid down",
    "resume": "the work was taken up again",
    "finish": "the make was closed",
}


class Entry(Frozen):
    """One line of the history."""

    at: float
    """POSIX seconds."""
    text: str
    taken_back: bool = False
    own_words: bool = False
    """It holds the maker's own words: they are shown as she wrote them."""


def entries(begun: Begun, events: Iterable[Event]) -> list[Entry]:
    """One entry for each event, in order; an undo strikes the one it took back."""
    found: list[Entry] = []
    standing: list[int] = []
    trail = Trail(begun)
    for event in events:
        if isinstance(event, Undone):
            if standing:
                struck = standing.pop()
                found[struck] = found[struck].model_copy(update={"taken_back": True})
                trail.back()
            continue
        standing.append(len(found))
        said = sentence(event, trail.state)
        found.append(Entry(at=event.at, text=said, own_words=isinstance(event, Noted)))
        trail.go(event)
    return found


def sentence(event: Event, state: MakeState) -> str:
    """What an event did, given the state before it; without a full stop."""
    steps = state.script.steps
    match event:
        case Advanced(step=number, skipped=skipped):
            return f"{places.part_place(steps[number - 1])} {'skipped' if skipped else 'done'}"
        case Dropped(step=number, loop=loop):
            at = f", loop {loop}" if loop else ""
            return f"dropped loop marked: {places.part_place(steps[number - 1])}{at}"
        case Repaired() | Accepted():
            mark = next((m for m in state.marks if m.number == event.mark), None)
            what = "repaired" if isinstance(event, Repaired) else "left as it is"
            return f"{what}: {places.mark_place(mark, state.plan.craft)}" if mark else what
        case RippedBack(to_step=number):
            return f"ripped back to {places.start_of(steps[number - 1])}"
        case Measured(cm=cm, lead=lead, rows=rows):
            return f"measured {cm:g} cm: the {lead} has {rows} rows"
        case FitVerdict(balls=int(balls)):
            return f"only {some(balls, 'ball')}"
        case FitVerdict(verdict=verdict):
            return f"fit check: {verdict}"
        case MoreRows(lead=lead, rows=rows):
            return f"more rows: the {lead} has {rows}"
        case Replanned(why=why):
            return f"planned anew: {why}"
        case NewBall(loops=loops):
            return "new ball" + (f" of {loops}" if loops else "")
        case Noted(sound=sound, seconds=seconds) if sound:
            return f"a spoken note, {seconds:.0f} s"
        case Noted(text=text):
            return f"note: {text}"
        case _:
            return _PLAIN.get(event.kind, event.kind)
