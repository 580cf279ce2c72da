"""`spokenrow stripes DESIGN`: stripes from the balls in the house, and how long they come."""

import argparse

from counter.cli.arguments import add_plan_arguments, plan_from
from counter.shared.outward import tell, tell_json
from engine.advise.ball_stripes import frame_of, from_balls
from engine.base.numbers import span
from engine.base.refusal import Refusal
from engine.craft.stripes import read_balls
from engine.designs import design
from engine.plan.planning import takes_stripes
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
    info = design(plan.design).info
    takes_stripes(info)
    if plan.ball_loops is None:
        raise Refusal("Say how many loops a ball has: --ball 60.")
    if arguments.repeats is not None and not 1 <= arguments.repeats <= _MOST:
        raise Refusal(f"Stripes come in turn 1 to {_MOST} times: give --repeats so.")
    frame = frame_of(plan)
    balls = read_balls(arguments.balls)
    if len(balls) < 2:
        raise Refusal("Stripes want two colours or more: 'cream 3, sand 2'.")
    found = from_balls(frame, balls, plan.ball_loops, arguments.repeats)
    cm = round(found.rows / plan.gauge.rows_per_cm, 1)
    if arguments.json:
        tell_json({**found.model_dump(), "rows": found.rows, "height_cm": cm})
        return 0
    times = "once" if found.repeats == 1 else f"{found.repeats} times"
    tell(
        f"{found.said}, {times}: {found.rows} rows of {counted(frame.width, plan.craft)}, "
        f"{cm:.0f} cm. Every ball is joined at the end of a row."
    )
    for colour, loops in found.left.items():
        tell(f"{counted(loops, plan.craft)} of {colour} are left over.")
    long = next(spec for spec in info.measures if spec.name in {"height", "length"})
    asked = cm / plan.scale
    if long.low <= asked <= long.high:
        tell(f"Begin it with --stripes '{found.said}' --{long.name} '{asked:g} cm'.")
    else:
        tell(f"A {info.name} has a {long.name} of {span(long.low, long.high)}: change the balls.")
    return 0
