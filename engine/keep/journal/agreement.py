"""Main file and copies brought to agree, whichever of them has more."""

import sqlite3
from collections.abc import Callable
from pathlib import Path

from engine.base.files import set_aside
from engine.keep.journal import chain, copy, rescue
from engine.keep.journal.chain import Chain


def agree(db: sqlite3.Connection, data: Path, say: Callable[[str], object]) -> None:
    """Let the main file and the copies of a data folder agree, inside the caller's transaction.

    What the one lacks is taken from the other; a copy that is damaged or tells another story is
    set aside and written anew. `say` is told what was done, a sentence each, as it happens. Raises
    Damaged, OSError and sqlite3.Error.
    """
    ours = {made.name: made for made in rescue.chains(db)}
    intact: dict[str, Chain] = {}
    for place, theirs, whole in rescue.copies(data):
        if theirs is None:
            say(_aside(data, place, "could not be read"))
            continue
        if place != copy.place(data, theirs.name):
            continue  # someone's copy of a copy
        mine = ours.get(theirs.name)
        if mine is None:
            rescue.add(db, theirs)
            ours[theirs.name] = theirs
            say(f"The make {theirs.name!r} was found in its journal copy alone and is back.")
        elif mine.begins(theirs):
            if mine != theirs:
                say(_catch_up(db, mine, theirs))
                ours[theirs.name] = theirs
        elif not theirs.begins(mine):
            say(_aside(data, place, "tells another story than the main file"))
            continue
        if whole:
            intact[theirs.name] = theirs
        else:
            say(_aside(data, place, "was damaged"))
    for name, made in ours.items():
        if intact.get(name) != made:
            copy.rewrite(copy.place(data, name), made)


def _catch_up(db: sqlite3.Connection, mine: Chain, theirs: Chain) -> str:
    (make,) = db.execute("SELECT id FROM make WHERE name = ?", (mine.name,)).fetchone()
    digest = chain.seals([mine.head, *mine.bodies])[-1]
    missing = theirs.bodies[len(mine.bodies) :]
    rescue.insert(db, make, chain.numbered(missing, len(mine.bodies), digest))
    actions = "action" if len(missing) == 1 else "actions"
    return (
        f"{len(missing)} {actions} of {mine.name!r} stood in the journal copy and not yet in "
        "the main file: counted."
    )


def _aside(data: Path, place: Path, why: str) -> str:
    aside = set_aside(place, rescue.place_aside(data))
    return f"The journal copy {place.name} {why}; it is set aside as {aside} and written anew."
