"""`spokenrow stripes DESIGN`: stripes from the balls in the house, and how long they come."""

import argparse

from counter.cli.arguments import add_plan_arguments, plan_from
from counter.shared.outward import tell, tell_json
from engine.advise.colours import from_balls
from engine.base.refusal import Refusal
from engine.craft.stripes import read_stripes
from engine.designs import design
from engine.plan.planning import script_for, takes_stripes
from engine.script.wording import counted

_MOST = 200


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("stripes", help="plan stripes from the balls that are there")
    add_plan_arguments(parser)
    parser.add_argument("--balls", required=True, help="colours and balls: 'cream 3, sand 2'")
    parser.add_argument("--repeats", type=int, metavar="N", help="how often they come in turn")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the stripes, their height and what is left over."""
    plan = plan_from(arguments)
    takes_stripes(design(plan.design).info)
    if plan.ball_loops is None:
        raise Refusal("Say how many loops a ball has: --ball 60.")
    if arguments.repeats is not None and not 1 <= arguments.repeats <= _MOST:
        raise Refusal(f"Stripes come in turn 1 to {_MOST} times: give --repeats so.")
    width = script_for(plan).steps[0].loops_after
    balls = {one.colour: one.rows for one in read_stripes(arguments.balls)}
    found = from_balls(width, balls, plan.ball_loops, plan.craft, arguments.repeats)
    cm = found.rows / plan.gauge.rows_per_cm
    if arguments.json:
        tell_json({**found.model_dump(), "rows": found.rows, "height_cm": round(cm, 1)})
        return 0
    tell(
        f"{found.said}, {found.repeats} times: {found.rows} rows of "
        f"{counted(width, plan.craft)}, {cm:.0f} cm. Every ball is joined at the end of a row."
    )
    for colour, loops in found.left.items():
        tell(f"{counted(loops, plan.craft)} of {colour} are left over.")
    tell(f"Begin it with --stripes '{found.said}'.")
    return 0
