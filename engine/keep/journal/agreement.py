"""Main file, journal copies and backups brought to agree, whichever of them has more."""

import sqlite3
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from engine.base.files import set_aside
from engine.base.plural import noun
from engine.base.refusal import Refusal
from engine.keep.journal import backups, chain, copy, rescue
from engine.keep.journal.chain import Chain
from engine.keep.journal.rescue import Found
from engine.keep.journal.standing import last_at, standing
from engine.keep.moving.move import Bare, move


def agree(
    db: sqlite3.Connection,
    data: Path,
    say: Callable[[str], object],
    beside: Iterable[Found] = (),
) -> None:
    """Let the main file and all else in a data folder agree, inside the caller's transaction.

    What the main file lacks is taken from the journal copies, the backups and `beside` (what lay
    elsewhere); a copy that is damaged or tells another story is set aside and written anew. What
    tells another story elsewhere stays there. `say` is told what was found and done, a sentence
    each. Raises Damaged, OSError and sqlite3.Error.
    """
    _Agreement(db, data, say).reached(list(beside))


class _Agreement:
    def __init__(self, db: sqlite3.Connection, data: Path, say: Callable[[str], object]) -> None:
        self.db, self.data, self.say = db, data, say
        self.ours = {made.name: made for made in rescue.chains(db)}
        self.lines = {name: len(made.bodies) for name, made in self.ours.items()}
        self.back: dict[str, str] = {}
        """Where a make was found that the main file had not, by name."""

    def reached(self, beside: list[Found]) -> None:
        copies = self._copies()
        for one in sorted(beside, key=lambda one: len(one.made.bodies), reverse=True):
            self._take(one)
        for backup in backups.list_backups(self.data):
            found = rescue.ahead(backup, self.ours)
            for one in found:
                self._take(one)
            if not found and not rescue.readable(backup):
                aside = set_aside(backup, rescue.place_aside(self.data))
                self.say(f"The backup {backup.name} cannot be read; it is set aside as {aside}.")
        for made, told in moved(list(self.ours.values())):
            if made is not self.ours[made.name]:
                rescue.replace(self.db, made)
                self.ours[made.name] = made
            if told:
                self.say(told)
        for name, where in self.back.items():
            self.say(f"The make {name!r} was found in {where} alone and is back, {self._at(name)}.")
        for name, lines in self.lines.items():
            if name not in self.ours:
                self.say(f"Of the make {name!r} nothing can be read any more, in no source.")
            elif lost := lines - len(self.ours[name].bodies):
                actions = noun(lost, "action")
                self.say(
                    f"The last {lost} {actions} of {name!r} cannot be read any more, in no source: "
                    f"it stands {self._at(name)}. Compare that with your work."
                )
        for name, made in self.ours.items():
            if copies.get(name) != made:
                copy.rewrite(copy.place(self.data, name), made)

    def _at(self, name: str) -> str:
        count = len(self.ours[name].bodies)
        told = f"at its {count}{'th' if 10 < count % 100 < 14 else _ORDINAL.get(count % 10, 'th')}"
        return f"{told} action" + (f", {place}" if (place := standing(self.ours[name])) else "")

    def _copies(self) -> dict[str, Chain]:
        """The copies that are whole; what they have more is taken."""
        intact: dict[str, Chain] = {}
        for place, theirs, lines in rescue.copies(self.data):
            if theirs is None:
                self.say(_aside(self.data, place, "could not be read"))
                continue
            name = theirs.name
            if place != copy.place(self.data, name):
                continue  # someone's copy of a copy
            mine = self.ours.get(name)
            if mine is None:
                rescue.add(self.db, theirs)
                self.ours[name] = theirs
                self.back[name] = "its journal copy"
            elif mine.begins(theirs):
                if len(theirs.bodies) > len(mine.bodies):
                    self._catch_up(mine, theirs, "the journal copy")
                elif mine != theirs and chain.script_of(mine) is None:
                    rescue.replace(self.db, theirs)  # the copy has the scripts already
                    self.ours[name] = theirs
            elif not theirs.begins(mine):
                why = f"is not as in the main file ({_beside(theirs, mine)})"
                more = f" 'spokenrow restore {name}' brings it back beside the other."
                self.say(_aside(self.data, place, why) + more)
                continue
            self.lines[name] = max(self.lines.get(name, 0), lines - 1)
            if copy.whole(theirs, lines):
                intact[name] = theirs
            else:
                self.say(_aside(self.data, place, "was damaged"))
        return intact

    def _take(self, one: Found) -> None:
        """Take what a source has more; tell of it where that would change what is there."""
        theirs, name = one.made, one.made.name
        mine = self.ours.get(name)
        if not theirs.head:
            self.lines[name] = max(self.lines.get(name, 0), one.lines)
            return
        if mine is None:
            rescue.add(self.db, theirs)
            self.ours[name] = theirs
            self.back[name] = one.where
        elif mine.begins(theirs):
            if len(theirs.bodies) > len(mine.bodies):
                self._catch_up(mine, theirs, one.where)
        elif not theirs.begins(mine):
            known = any(map(theirs.under_another_name, self.ours.values()))
            if not known and _newness(theirs) > _newness(mine):
                self.say(
                    f"In {one.where} the make {name!r} is not as on the shelf "
                    f"({_beside(theirs, mine)}); nothing was changed. 'spokenrow restore {name}' "
                    "brings it back beside the other."
                )
            return
        self.lines[name] = max(self.lines.get(name, 0), one.lines)

    def _catch_up(self, mine: Chain, theirs: Chain, where: str) -> None:
        missing = len(theirs.bodies) - len(mine.bodies)
        if theirs.head == mine.head and theirs.bodies[: len(mine.bodies)] == mine.bodies:
            (make,) = self.db.execute("SELECT id FROM make WHERE name = ?", (mine.name,)).fetchone()
            digest = chain.seals([mine.head, *mine.bodies])[-1]
            more = theirs.bodies[len(mine.bodies) :]
            rescue.insert(self.db, make, chain.numbered(more, len(mine.bodies), digest))
        else:
            rescue.replace(self.db, theirs)
        self.ours[mine.name] = theirs
        if mine.name in self.back:
            self.back[mine.name] = where
            return
        actions = noun(missing, "action")
        self.say(
            f"{missing} {actions} of {mine.name!r} stood in {where} and not yet in "
            "the main file: counted."
        )


_ORDINAL = {1: "st", 2: "nd", 3: "rd"}


def _newness(made: Chain) -> float:
    return last_at(made) or 0.0


def _beside(theirs: Chain, mine: Chain) -> str:
    """Which of two is newer, a clause."""
    newer = "newer" if _newness(theirs) > _newness(mine) else "older"
    return f"{len(theirs.bodies)} actions, {newer} than the {len(mine.bodies)} there"


def moved(found: Sequence[Chain]) -> list[tuple[Chain, str]]:
    """These makes, those of the first release with their scripts, each with a sentence of doubt.

    One that cannot be worked out is left as it is: it is refused where it is opened.
    """
    made_over = [(made, "") for made in found]
    heads = [chain.read_head(made.head) for made in found]
    old = [n for n, head in enumerate(heads) if head and head.script is None]
    bare = [Bare(head.plan, None, found[n].bodies) for n in old if (head := heads[n])]
    for n, new in zip(old, move(bare), strict=True):
        head, made = heads[n], found[n]
        if head is None or isinstance(new, Refusal):
            continue
        line = chain.write_head(head._replace(script=new.script))
        doubt = _DOUBT.format(name=made.name, doubt=new.doubt) if new.doubt else ""
        made_over[n] = (Chain(made.name, line, new.bodies), doubt)
    return made_over


_DOUBT = (
    "The make {name!r} was begun by an earlier release, and its journal does not fit what it is "
    "worked by now ({doubt}): compare its row with your work before you go on, and rip back or "
    "take back on the screen what is not so."
)


def _aside(data: Path, place: Path, why: str) -> str:
    aside = set_aside(place, rescue.place_aside(data))
    return f"The journal copy {place.name} {why}; it is set aside as {aside} and written anew."
