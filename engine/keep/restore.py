"""What can be brought back of every make, from every source, and the way back beside what is there.

Sources are the backups, the journal copies, whatever was set aside, and a make on the shelf that
cannot be read to its end. Nothing on the shelf is changed by it: what comes back is a make of its
own, under another name where its own is taken.
"""

import contextlib
from collections.abc import Iterator
from pathlib import Path

from pydantic import ValidationError

from engine.base.refusal import Refusal
from engine.keep import notes
from engine.keep.journal import backups, chain, copy, rescue
from engine.keep.journal.agreement import moved
from engine.keep.journal.chain import Chain
from engine.keep.journal.standing import last_at, standing
from engine.keep.store import Store
from engine.make.trail import Trail
from models.event import EVENT, Undone
from models.frozen import Frozen
from models.plan import Begun, Plan

READABLE = "readable"
"""The source of what can be read of a make on the shelf."""


class State(Frozen):
    """A state of a make that a source holds, and that is not the one on the shelf."""

    name: str
    source: str
    """As `--from` takes it: the date of a backup, the name of a file set aside, `readable`."""
    actions: int
    last_at: float | None
    """When its last action was, POSIX seconds."""
    place: str
    """`throw, row 6`; empty where that cannot be told."""
    lines: Chain


def states(store: Store, name: str | None = None) -> list[State]:
    """All that can be brought back, or of one make; by make, the longest first.

    What several sources hold alike is told of once, from the first of them.
    """
    shelf = [store.chain(made) for made in store.names()]
    sources: list[str] = []
    found: list[Chain] = []
    for source, made in _sources(store, shelf):
        there = found if source == READABLE else [*found, *shelf]
        if name in (None, made.name) and not any(_alike(made, other) for other in there):
            sources.append(source)
            found.append(made)
    told = [
        State(
            name=made.name,
            source=source,
            actions=len(made.bodies),
            last_at=last_at(made),
            place=standing(made),
            lines=made,
        )
        for source, (made, _) in zip(sources, moved(found), strict=True)
    ]
    return sorted(told, key=lambda one: (one.name, -one.actions))


def bring_back(store: Store, state: State, name: str | None = None) -> str:
    """Put a state on the shelf as a make of its own; gives the name it got. Raises Refusal."""
    free = name or (state.name if state.name not in store.names() else store.free_name(state.name))
    store.put_back(state.lines, free)
    if free != state.name:
        with contextlib.suppress(Refusal):
            notes.copy_over(store, state.name, free, store.load(free)[1])
    return free


def _alike(one: Chain, other: Chain) -> bool:
    return len(one.bodies) == len(other.bodies) and one.under_another_name(other)


def _sources(store: Store, shelf: list[Chain]) -> Iterator[tuple[str, Chain]]:
    for made in shelf:
        if (part := readable_part(made)) is not None:
            yield READABLE, part
    for backup in backups.list_backups(store.folder):
        for one in filter(rescue.proven, rescue.salvage(backup)):
            yield backup.stem.removeprefix("makes-"), one.made
    for place, theirs, _ in rescue.copies(store.folder):
        if theirs is not None:
            yield place.name, theirs
    for path in sorted(rescue.place_aside(store.folder).glob("*"), reverse=True):
        for made in _aside(path):
            yield path.name, made


def _aside(path: Path) -> list[Chain]:
    if path.suffix == copy.SUFFIX:
        made, _ = copy.read(path)
        return [made] if made else []
    if path.name.endswith("-wal"):
        found: dict[str, rescue.Found] = {}
        if not path.with_name(path.name.removesuffix("-wal")).exists():
            rescue.salvage_log(path.read_bytes(), b"", "", found)
        return [one.made for one in filter(rescue.proven, found.values())]
    found_there = rescue.salvage(path) if path.suffix == ".db" else []
    return [one.made for one in filter(rescue.proven, found_there)]


def readable_part(made: Chain) -> Chain | None:
    """The beginning of a make that can be read; None where all of it can, or nothing of it."""
    head = chain.read_head(made.head)
    if head is None or head.script is None:
        return None
    count = 0
    try:
        trail = Trail(Begun(plan=Plan.model_validate_json(head.plan), script=head.script))
        for body in made.bodies:
            event = EVENT.validate_json(body)
            if isinstance(event, Undone):
                trail.back()
            else:
                trail.go(event)
            count += 1
    except (ValidationError, Refusal, LookupError, ArithmeticError):
        return made._replace(bodies=made.bodies[:count]) if count else None
    return None
