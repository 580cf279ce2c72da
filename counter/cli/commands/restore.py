"""`spokenrow restore`: what can be brought back, and the way back beside what is there."""

import argparse
from collections.abc import Sequence
from datetime import datetime
from itertools import groupby

from counter.shared.outward import tell
from counter.shared.places import open_store
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.keep.restore import READABLE, State, bring_back, states
from engine.keep.store import Store


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "restore",
        help="list earlier states of the makes, or bring one back beside what is there",
        description="Lists what backups, journal copies and files that were set aside still hold "
        "of the makes. With a make's name it brings one state back, as another make: nothing that "
        "is on the shelf is changed.",
    )
    parser.add_argument("name", nargs="?", help="the make to bring back; without one, all are told")
    parser.add_argument(
        "--from",
        dest="source",
        metavar="SOURCE",
        help="the date of a backup or another source, as listed (default: the newest state)",
    )
    parser.add_argument("--name", dest="free", metavar="NAME", help="call it this")
    parser.add_argument("--list", action="store_true", help="only list what there is of the make")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """List, or bring one back."""
    with open_store(arguments.data) as store:
        found = states(store, arguments.name)
        if arguments.name is None or arguments.list:
            _list(store, found)
            return 0
        chosen = _chosen(found, arguments.name, arguments.source)
        name = bring_back(store, chosen, arguments.free)
        tell(f"{name} is on the shelf: {_told(chosen)}. Nothing else was changed.")
    return 0


def _chosen(found: Sequence[State], name: str, source: str | None) -> State:
    if not found:
        raise Refusal(
            f"There is nothing of a make {name!r} but what is on the shelf: 'spokenrow restore' "
            "lists what can be brought back."
        )
    if source is None:
        return max(found, key=lambda one: (one.last_at or 0.0, one.actions))
    for one in found:
        if one.source == source:
            return one
    there = ", ".join(one.source for one in found)
    raise Refusal(f"{source!r} holds no other state of {name!r}; these do: {there}.")


def _list(store: Store, found: Sequence[State]) -> None:
    if not found:
        tell("There is nothing to bring back but what is on the shelf.")
        return
    for name, many in groupby(found, key=lambda one: one.name):
        there = f"{len(store.chain(name).bodies)} actions" if name in store.names() else "nothing"
        tell(f"{name} (on the shelf: {there})")
        for one in many:
            tell(f"  {one.source}: {_told(one)}")
    tell("Bring one back beside what is there: spokenrow restore NAME --from SOURCE")


def _told(one: State) -> str:
    when = datetime.fromtimestamp(one.last_at).strftime("%Y-%m-%d %H:%M") if one.last_at else ""
    told = [some(one.actions, "action")]
    told += [f"the last {when}"] if when else []
    told += [one.place] if one.place else []
    if one.source == READABLE:
        told.append("what can be read of the one on the shelf")
    return ", ".join(told)
