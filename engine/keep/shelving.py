"""Where the makes lie: on the shelf, put away, or thrown out with a way back.

It is no part of what a make is, so it stands beside the journal, in a file of its own: where that
is lost, every make lies on the shelf again. What was thrown out is taken off the shelf for good
after thirty days; even then its lines are set aside, and `restore` can bring them back.
"""

import time

from pydantic import ValidationError

from engine.base.files import replace
from engine.base.refusal import Refusal
from engine.keep import notes
from engine.keep.journal import trouble
from engine.keep.store import Store
from engine.make import progress
from engine.plan import planning, written
from models.frozen import Frozen
from models.plan import Begun
from models.text import Words

WAY_BACK_DAYS = 30
"""How long a make that was thrown out can be taken back onto the shelf."""
_DAY_S = 86_400.0
_FILE = "shelf.json"


class Lying(Frozen):
    """What does not lie on the shelf, by name, and since when in POSIX seconds."""

    away: dict[Words, float] = {}
    out: dict[Words, float] = {}


def lying(store: Store) -> Lying:
    """Where the makes lie. A file that cannot be read says nothing."""
    try:
        return Lying.model_validate_json((store.folder / _FILE).read_bytes())
    except (OSError, ValidationError):
        return Lying()


def days_left(since: float, now: float) -> int:
    """Whole days in which what was thrown out at `since` can be taken back; at least 1."""
    return max(1, WAY_BACK_DAYS - int(max(0.0, now - since) // _DAY_S))


def put_away(store: Store, name: str, now: float | None = None) -> None:
    """Out of sight, for as long as she likes. Raises Refusal."""
    _move(store, name, "away", now)


def throw_out(store: Store, name: str, now: float | None = None) -> None:
    """Off the shelf; after thirty days for good. Raises Refusal."""
    _move(store, name, "out", now)


def take_back(store: Store, name: str) -> None:
    """Onto the shelf again. Raises Refusal."""
    _move(store, name, "", None)


def _move(store: Store, name: str, to: str, now: float | None) -> None:
    store.chain(name)  # an unknown name is refused
    if to and (other := store.holder(name)):
        raise Refusal(f"The make {name!r} is open in {other.told()}: close it there first.")
    here = lying(store)
    places = {"away": dict(here.away), "out": dict(here.out)}
    for place in places.values():
        place.pop(name, None)
    if to:
        places[to][name] = time.time() if now is None else now
    _keep(store, Lying.model_validate(places))


def _keep(store: Store, lies: Lying) -> None:
    if store.read_only:
        raise Refusal(store.read_only)
    try:
        replace(store.folder / _FILE, lies.model_dump_json().encode())
    except OSError as error:
        raise Refusal(
            f"{store.folder / _FILE} cannot be written ({trouble.why(error)}), so nothing was "
            "moved: see to the folder."
        ) from error


def clear(store: Store, now: float) -> list[str]:
    """Take off for good what was thrown out over thirty days ago; gives the names."""
    here = lying(store)
    old = [name for name, since in here.out.items() if now - since > WAY_BACK_DAYS * _DAY_S]
    gone = []
    for name in old:
        try:
            store.remove(name)
            notes.remove_all(store.folder, name)
        except Refusal:
            continue  # open elsewhere, or gone already: another day
        gone.append(name)
    if gone:
        kept = {name: since for name, since in here.out.items() if name not in gone}
        _keep(store, here.model_copy(update={"out": kept}))
    return gone


def rename(store: Store, name: str, title: str) -> str:
    """Give a make another title, and the name that follows from it; gives that name.

    All that happened in it stays. Raises Refusal.
    """
    title = _title(title)
    if other := store.holder(name):
        raise Refusal(f"The make {name!r} is open in {other.told()}: close it there first.")
    begun, events = store.load(name)
    kept = written.read(begun.script)
    script = kept.script.model_copy(update={"title": title})
    plan = begun.plan.model_copy(update={"title": title})
    new = Begun(plan=plan, script=written.write(script, kept.edition))
    fresh = store.free_name(title)
    store.create(fresh, new, events, extra=store.extra(name), created=store.created(name))
    notes.copy_over(store, name, fresh, events)
    store.remove(name)
    notes.remove_all(store.folder, name)
    return fresh


def another(store: Store, name: str, title: str) -> str:
    """Another like it, not begun: the second sleeve, the same for a sister; gives its name.

    By the plan as it stands now, with all that was learnt of her gauge. Raises Refusal.
    """
    begun, events = store.load(name)
    plan = progress.fold(begun, events).plan.model_copy(update={"title": _title(title)})
    fresh = store.free_name(plan.title)
    store.create(fresh, planning.begun(plan))
    return fresh


def _title(title: str) -> str:
    title = " ".join(title.split())
    if not title:
        raise Refusal("A make needs a name: type one.")
    return title
