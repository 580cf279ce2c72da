"""A maker who takes her time over every key, whatever the test's haste."""

import time

from textual import events

from counter.tui.app import SpokenrowApp
from models.command import Action, Command
from models.script import Kind

_EACH_S = 30.0


class Unhurried:
    """The app's `clock`, and its `came_at`: half a minute goes by with every key."""

    def __init__(self, now: float | None = None) -> None:
        self.now = time.time() if now is None else now

    def __call__(self) -> float:
        """POSIX seconds."""
        return self.now

    def came_at(self, event: events.Event) -> float:
        """Seconds of a clock that only keys move on."""
        if isinstance(event, events.Key | events.MouseDown):
            self.now += _EACH_S
        return self.now


def unhurried(now: float | None = None) -> dict[str, object]:
    """The two as arguments of the app."""
    hands = Unhurried(now)
    return {"clock": hands, "came_at": hands.came_at}


def work_to(app: SpokenrowApp, kind: Kind) -> None:
    """Her rows, by word, up to the first step of that kind; what is asked on the way is passed."""
    row = app.row_screen
    assert row is not None
    making = row.work.making
    while making.state.step is not None and making.state.step.kind is not kind:
        if making.do(Command(action=Action.ADVANCE), app.clock()).asks:
            making.do(Command(action=Action.YES), app.clock())
    row.show()
