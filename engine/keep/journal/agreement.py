"""Main file and copies brought to agree, whichever of them has more."""

import sqlite3
from collections.abc import Callable, Iterable
from pathlib import Path

from engine.base.files import set_aside
from engine.base.refusal import Refusal
from engine.keep.journal import chain, copy, rescue
from engine.keep.journal.chain import Chain
from engine.keep.moving.move import Bare, move


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
            if len(theirs.bodies) > len(mine.bodies):
                say(_catch_up(db, mine, theirs))
                ours[theirs.name] = theirs
            elif mine != theirs and chain.script_of(mine) is None:
                rescue.replace(db, theirs)  # the copy has the scripts already
                ours[theirs.name] = theirs
        elif not theirs.begins(mine):
            say(_aside(data, place, "tells another story than the main file"))
            continue
        if whole:
            intact[theirs.name] = theirs
        else:
            say(_aside(data, place, "was damaged"))
    for made, told in moved(ours.values()):
        rescue.replace(db, made)
        ours[made.name] = made
        if told:
            say(told)
    for name, made in ours.items():
        if intact.get(name) != made:
            copy.rewrite(copy.place(data, name), made)


def moved(found: Iterable[Chain]) -> list[tuple[Chain, str]]:
    """The makes of the first release among these, with their scripts, and a sentence of doubt.

    One that cannot be worked out is left as it is: it is refused where it is opened.
    """
    old = []
    for made in found:
        head = chain.read_head(made.head)
        if head and head.script is None:
            old.append((made, head))
    made_over = []
    answers = move([Bare(head.plan, None, made.bodies) for made, head in old])
    for (made, head), new in zip(old, answers, strict=True):
        if isinstance(new, Refusal):
            continue
        line = chain.write_head(head._replace(script=new.script))
        doubt = _DOUBT.format(name=made.name, doubt=new.doubt) if new.doubt else ""
        made_over.append((Chain(made.name, line, new.bodies), doubt))
    return made_over


_DOUBT = (
    "The make {name!r} was begun by an earlier release, and its journal does not fit what it is "
    "worked by now ({doubt}): compare its row with your work before you go on, and rip back or "
    "take back on the screen what is not so."
)


def _catch_up(db: sqlite3.Connection, mine: Chain, theirs: Chain) -> str:
    missing = len(theirs.bodies) - len(mine.bodies)
    if theirs.head == mine.head and theirs.bodies[: len(mine.bodies)] == mine.bodies:
        (make,) = db.execute("SELECT id FROM make WHERE name = ?", (mine.name,)).fetchone()
        digest = chain.seals([mine.head, *mine.bodies])[-1]
        more = theirs.bodies[len(mine.bodies) :]
        rescue.insert(db, make, chain.numbered(more, len(mine.bodies), digest))
    else:
        rescue.replace(db, theirs)
    actions = "action" if missing == 1 else "actions"
    return (
        f"{missing} {actions} of {mine.name!r} stood in the journal copy and not yet in "
        "the main file: counted."
    )


def _aside(data: Path, place: Path, why: str) -> str:
    aside = set_aside(place, rescue.place_aside(data))
    return f"The journal copy {place.name} {why}; it is set aside as {aside} and written anew."
