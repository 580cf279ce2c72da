"""`spokenrow change NAME`: another gauge, size or measurement for what is still to come."""

import argparse
import time

from counter.cli.arguments import add_measure_arguments
from counter.cli.asking import yes
from counter.shared.outward import tell
from counter.shared.places import open_store
from counter.shared.settings import load, settings_path
from counter.shared.telling import in_unit
from counter.shared.work import open_work
from engine.advise import midway
from engine.advise.replan import Wishes
from engine.base.refusal import Refusal
from engine.craft.sizes import named_size
from engine.make import answers
from engine.make.decisions import change
from engine.plan.planning import read_gauge
from models.plan import Plan
from models.state import Tone


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "change",
        help="plan what is still to come of a make by another gauge, size or measurement",
        description="What is worked stays as it is. What it means is said first, and asked; it can "
        "be taken back.",
    )
    parser.add_argument("name", help="the make")
    parser.add_argument("--gauge", help="loops x rows per 10 cm, as in '5.4 x 4'")
    parser.add_argument("--size", help="another of its sizes")
    parser.add_argument("--yes", action="store_true", help="do it without asking")
    add_measure_arguments(parser)
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Say what it means, ask, and do it."""
    settings, _ = load(settings_path(arguments.data))
    with open_store(arguments.data) as store:
        work = open_work(store, arguments.name, settings)
        if work.in_use:
            raise Refusal(work.in_use)
        wishes, why = _wishes(arguments, work.state.plan, settings.unit.cm)
        asked = change(work.state, why, time.time(), **wishes)
        if asked.tone is not Tone.ASK:
            raise Refusal(asked.say)
        for line in answers.midway_lines(midway.of(work.state, why, **wishes), work.state):
            tell(in_unit(line, settings.unit))
        tell(in_unit(asked.say, settings.unit))
        if not arguments.yes and not yes():
            tell("Left as it was.")
            return 0
        reply = work.change(why, time.time(), **wishes)
        if not reply.taken:
            raise Refusal(reply.say)
        tell(in_unit(reply.say, settings.unit))
    return 0


def _wishes(arguments: argparse.Namespace, plan: Plan, unit_cm: float) -> tuple[Wishes, str]:
    """What is asked for, in cm, and a clause that says it."""
    wishes, said, measures = Wishes(), list[str](), dict[str, float]()
    if arguments.gauge:
        gauge = read_gauge(arguments.gauge)
        wishes["gauge"] = gauge.loops_per_10cm, gauge.rows_per_10cm
        said.append(f"gauge {gauge.loops_per_10cm:.4g} x {gauge.rows_per_10cm:.4g}")
    if arguments.size:
        names = midway.sizes(plan)
        size = named_size(arguments.size, names) if names else arguments.size
        measures |= midway.sized(plan, size)
        wishes["size"] = size
        said.append(f"size {size}")
    for key, value in vars(arguments).items():
        name = key.removeprefix("measure_")
        if name != key and value is not None:
            measures |= midway.bounded(plan, name, value.cm(unit_cm))
            said.append(f"{name.replace('_', ' ')} {measures[name]:.4g} cm")
    if not said:
        raise Refusal("What has changed? Give --gauge, --size or a measurement.")
    if measures:
        wishes["measures"] = measures
    return wishes, ", ".join(said)
