"""`spokenrow verify NAME`: proves that a make is what its journal says."""

import argparse

from counter.shared.outward import tell, tell_json
from counter.shared.places import open_store
from engine.keep.verify import verify

NOT_SOUND = 1


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("verify", help="replay a make and compare all that is kept")
    parser.add_argument("name", nargs="?", help="the make; all of them where none is named")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print what was compared; the exit code is 1 where something does not agree."""
    with open_store(arguments.data) as store:
        names = [arguments.name] if arguments.name else store.names()
        reports = [verify(store, name) for name in names]
        health = store.health
    sound = all(report.sound for report in reports)
    if arguments.json:
        rows = [{**report.model_dump(), "sound": report.sound} for report in reports]
        tell_json({"sound": sound, "health": health, "makes": rows})
        return 0 if sound else NOT_SOUND
    if not reports:
        tell("There is no make to verify yet.")
    for report in reports:
        tell(report.name)
        for check in report.checks:
            tell(f"  {'sound' if check.sound else 'WRONG'}  {check.what}: {check.found}")
    return 0 if sound else NOT_SOUND
