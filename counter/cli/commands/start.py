"""`spokenrow start DESIGN`: begin a make without opening the app."""

import argparse

from counter.cli.arguments import add_plan_arguments, plan_from
from counter.shared.outward import tell
from counter.shared.places import open_store
from counter.shared.settings import Unit
from counter.shared.telling import in_unit
from engine.advise import fitting, lots
from engine.designs.shapes import stitch_of
from engine.plan.planning import script_for
from engine.script.wording import counted


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("start", help="begin a make; the app then shows it")
    add_plan_arguments(parser)
    parser.add_argument("--name", help="what to call it (default: from its title)")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Put the make on the shelf and print its name."""
    plan = plan_from(arguments)
    script = script_for(plan)
    store = open_store(arguments.data)
    name = arguments.name or store.free_name(plan.title)
    store.create(name, plan)
    store.close()
    # The name comes first: whoever goes on by it looks there.
    tell(f"{name} is on the shelf: {counted(script.yarn_loops, script.craft)} of yarn in all.")
    for line in fitting.asked_and_got(fitting.lines(plan, script)):
        tell(in_unit(line, Unit(arguments.unit)))
    for line in lots.outlook(plan):
        tell(line)
    if plan.stitch:
        laid = stitch_of(plan)
        swatch = counted(laid.swatch(plan.gauge), script.craft)
        tell(f"The gauge is to be that of a swatch of {swatch} in {laid.title.lower()}.")
    return 0
