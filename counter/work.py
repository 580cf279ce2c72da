"""The make on the table: opened from the store, moved by word and key, written down as it goes."""

import sqlite3
from functools import partial

from counter.settings import Settings, Unit
from engine import progress
from engine.making import Making
from engine.refusal import Refusal
from engine.store import Store
from models.command import Command, Heard
from models.state import MakeState, Outcome


class Work:
    """A make and its name. Every command comes back as an outcome, a full disk included."""

    def __init__(self, name: str, making: Making) -> None:
        self.name = name
        self.making = making

    def use_unit(self, unit: Unit) -> None:
        """Measurements are given in this unit from now on."""
        self.making.unit_cm = unit.cm

    @property
    def state(self) -> MakeState:
        """Where it stands."""
        return self.making.state

    def do(self, command: Command, now: float) -> Outcome:
        """Take a command at `now`, POSIX seconds."""
        try:
            return self.making.do(command, now)
        except Refusal as refusal:
            return progress.refused(str(refusal))
        except (sqlite3.Error, OSError) as error:
            return _not_written(error)

    def heard(self, heard: Heard, now: float) -> Outcome:
        """Take an utterance at `now`, POSIX seconds."""
        try:
            return self.making.heard(heard, now)
        except Refusal as refusal:
            return progress.refused(str(refusal))
        except (sqlite3.Error, OSError) as error:
            return _not_written(error)


def open_work(store: Store, name: str, settings: Settings) -> Work:
    """The make of that name. Raises Refusal for an unknown one."""
    plan, events = store.load(name)
    journal = partial(store.append, name)
    return Work(name, Making(plan, events, journal, unit_cm=settings.unit.cm))


def _not_written(error: Exception) -> Outcome:
    return progress.refused(
        f"This could not be written down ({error}), so nothing was changed: free some disk space "
        "and do it again."
    )
