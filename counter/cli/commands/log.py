"""`spokenrow log NAME`: a make's events."""

import argparse
from datetime import datetime

from counter.shared.outward import tell, tell_json
from counter.shared.places import open_store

_HIDDEN = frozenset({"kind", "tail"})
"""Said already, or rows in their kept form, which nobody reads; `--json` has them."""


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("log", help="print what happened in a make")
    parser.add_argument("name", help="the make")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the events, one a line."""
    store = open_store(arguments.data)
    _, events = store.load(arguments.name)
    store.close()
    rows = [event.model_dump(mode="json") for event in events]
    if arguments.json:
        tell_json(rows)
        return 0
    for row in rows:
        at = datetime.fromtimestamp(row.pop("at")).isoformat(" ", "seconds")
        rest = "  ".join(f"{k} {v}" for k, v in row.items() if k not in _HIDDEN and v is not None)
        tell(f"{at}  {row['kind']:12}  {rest}".rstrip())
    return 0
