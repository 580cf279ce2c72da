"""The make on the table: opened from collections.abc import Callable
from the store, moved by word and key, written down as it goes."""

import sqlite3
from collections.abc import Callable
from functools import partial
from typing import Unpack

from counter.shared.settings import Settings, Unit
from engine.advise import newer
from engine.advise.pace import least_step
from engine.advise.replan import Wishes
from engine.base.refusal import Refusal
from engine.keep import notes
from engine.keep.store import InUse, Store, unreadable
from engine.make import answers
from engine.make.decisions.replies import refused
from engine.make.making import Making
from engine.make.progress import standing
from models.command import Action, By, Command, Heard
from models.event import Noted, Undone
from models.state import MakeState, Reply


class Work:
    """A make and its name. Every command comes back as an outcome, a full disk included."""

    def __init__(
        self, name: str, making: Making, in_use: str = "", store: Store | None = None
    ) -> None:
        """`in_use` says in a sentence which other window has it; empty where none has.

        `store` is where its spoken notes are kept.
        """
        self._store = store
        self.name = name
        self.making = making
        self.in_use = in_use

    def use_unit(self, unit: Unit) -> None:
        """Measurements are given in this unit from now on."""
        self.making.unit_cm = unit.cm

    @property
    def state(self) -> MakeState:
        """Where it stands."""
        return self.making.state

    def do(self, command: Command, now: float, *, by: By = By.WORD) -> Reply:
        """Take a command at `now`, POSIX seconds."""
        return self._answered(lambda: self.making.do(command, now, by=by))

    def keep_note(self, pcm: bytes, now: float) -> Reply:
        """Keep what she said (16 kHz, mono, 16 bits) beside this row, at `now` in POSIX seconds."""
        if self._store is None:
            return refused("Nothing of this make is kept: there is no place for a spoken note.")
        try:
            digest = notes.keep(self._store, self.name, pcm)
        except Refusal as refusal:
            return refused(str(refusal))
        seconds = len(pcm) / 2 / notes.RATE
        outcome = self.do(Command(action=Action.NOTE, sound=digest, seconds=seconds), now)
        if not outcome.events:
            notes.remove_one(self._store, self.name, digest)
        return outcome

    def note(self, before: int = 0) -> tuple[bytes, Noted]:
        """The last spoken note that stands, or so many before it. Raises Refusal for none."""
        spoken = [
            event
            for event in standing(self.making.events)
            if isinstance(event, Noted) and event.sound
        ]
        if self._store is None or before >= len(spoken):
            raise Refusal("No note was spoken in this make yet: say “take a note”.")
        event = spoken[-1 - before]
        return notes.sound(self._store, self.name, event.sound), event

    def _forget_notes(self, outcome: Reply) -> None:
        """The sound of a note that was taken back goes."""
        if self._store is None or not any(isinstance(event, Undone) for event in outcome.events):
            return
        stand = set(notes.digests(self.making.events))
        for event in self.making.events:
            if isinstance(event, Noted) and event.sound and event.sound not in stand:
                notes.remove_one(self._store, self.name, event.sound)

    def renew(self, now: float) -> Reply:
        """Work out anew what is still to come, at `now` in POSIX seconds."""
        try:
            return self.making.renew(now)
        except Refusal as refusal:
            return refused(str(refusal))
        except (sqlite3.Error, OSError) as error:
            return _not_written(error)

    def change(self, why: str, now: float, **wishes: Unpack[Wishes]) -> Reply:
        """Plan what is still to come by another gauge, size or measurement; `why` says which.

        `now` in POSIX seconds.
        """
        try:
            return self.making.change(why, now, **wishes)
        except Refusal as refusal:
            return refused(str(refusal))
        except (sqlite3.Error, OSError) as error:
            return _not_written(error)

    def heard(self, heard: Heard, now: float) -> Reply:
        """Take an utterance at `now`, POSIX seconds."""
        return self._answered(lambda: self.making.heard(heard, now))

    def _answered(self, moved: Callable[[], Reply]) -> Reply:
        """What a move comes to; what kept it from being written is told, too."""
        try:
            outcome = moved()
            self._forget_notes(outcome)
            return outcome
        except Refusal as refusal:
            return refused(str(refusal))
        except (sqlite3.Error, OSError) as error:
            return _not_written(error)


def open_work(
    store: Store, name: str, settings: Settings, *, take_over: bool = False, timed: bool = True
) -> Work:
    """The make of that name, claimed for this window if it is free or is taken over.

    What is not `timed` comes as fast as it can be read, and its pace tells nothing. Raises Refusal
    for an unknown make.
    """
    begun, events = store.load(name)
    journal = partial(store.append, name)
    in_use = ""
    try:
        store.open_for_writing(name, take_over=take_over)
    except InUse as refusal:
        in_use = str(refusal)
    except Refusal:
        pass  # it can be looked at; the first command says why it does not count
    pace = least_step if timed else None
    try:
        making = Making(begun, events, journal, unit_cm=settings.unit.cm, pace=pace)
    except Refusal as why:
        store.release(name)
        raise unreadable(name, str(why)) from why
    return Work(name, making, in_use, store)


def offered(state: MakeState, name: str) -> str:
    """That the make's design has a newer edition, and how to have it; empty where it has none."""
    found = newer.of(state)
    if found is None:
        return ""
    how = f"'spokenrow renew {name}{'' if found.fits else ' --anew'}'"
    what = "brings that in" if found.fits else "begins another like it"
    return f"{answers.newer(found, state)} It goes on as it began; {how} {what}."


def _not_written(error: Exception) -> Reply:
    return refused(
        f"This could not be written down ({error}), so nothing was changed: free some disk space "
        "and do it again."
    )
