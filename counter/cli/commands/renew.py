"""`spokenrow renew NAME`: what is still to come of a make, worked out as the design is now."""

import argparse
import time

from counter.cli.asking import yes
from counter.shared.outward import tell
from counter.shared.places import open_store
from counter.shared.settings import load, settings_path
from counter.shared.telling import in_unit
from counter.shared.work import open_work
from engine.base.refusal import Refusal
from engine.make.decisions import renew
from models.state import Tone


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "renew",
        help="work out what is still to come of a make as its design is now",
        description="A make keeps the rows it began with. Where its design has improved since, "
        "this brings it in from the row in work on; nothing that is worked changes, and it can be "
        "taken back. --anew begins another make of the same plan instead.",
    )
    parser.add_argument("name", help="the make")
    parser.add_argument("--yes", action="store_true", help="do it without asking")
    parser.add_argument(
        "--anew", action="store_true", help="leave the make alone and begin another like it"
    )
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Say what would change, ask, and do it."""
    settings, _ = load(settings_path(arguments.data))
    with open_store(arguments.data) as store:
        if arguments.anew:
            begun, _ = store.load(arguments.name)
            name = store.free_name(begun.plan.title)
            store.create(name, begun.plan)
            tell(f"{name} is on the shelf, at its first row; {arguments.name} is as it was.")
            return 0
        work = open_work(store, arguments.name, settings)
        if work.in_use:
            raise Refusal(work.in_use)
        asked = renew(work.state, time.time())
        if asked.tone is not Tone.ASK:
            raise Refusal(asked.say)
        tell(in_unit(asked.say, settings.unit))
        if not arguments.yes and not yes():
            tell("Left as it was.")
            return 0
        outcome = work.renew(time.time())
        if not outcome.taken:
            raise Refusal(outcome.say)
        tell(in_unit(outcome.say, settings.unit))
    return 0
