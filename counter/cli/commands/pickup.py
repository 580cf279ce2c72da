"""`spokenrow pickup`: how many loops to pick up along an edge, and in which rhythm."""

import argparse

from counter.cli.arguments import number, whole
from counter.shared.outward import tell, tell_json
from engine.base import numbers
from engine.base.refusal import Refusal
from engine.craft.pickup import armhole, curved_loops, pick_up, sloped_loops, straight_loops
from engine.make import answers
from engine.plan.planning import DEFAULT_GAUGE, read_gauge


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("pickup", help="pick loops up along an edge, evenly")
    parser.add_argument("rows", type=whole, nargs="?", help="rows along the edge")
    parser.add_argument("--gauge", default=DEFAULT_GAUGE, help="default: %(default)s")
    parser.add_argument("--loops", type=whole, help="pick up exactly so many")
    parser.add_argument(
        "--lost", type=number, metavar="LOOPS", help="loops the edge loses over its rows: a slope"
    )
    parser.add_argument(
        "--curve", metavar="LOOPS,…", help="loops of each row from the first on: '12,10,9,8,8'"
    )
    parser.add_argument(
        "--armhole", type=whole, metavar="BACK-ROWS", help="round an armhole: rows of its back"
    )
    parser.add_argument("--underarm", type=whole, default=0, help="loops along the underarm")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the loops and the rhythm, to be counted in groups."""
    gauge = read_gauge(arguments.gauge)
    widths = _widths(arguments.curve) if arguments.curve else []
    rows = len(widths) - 1 if widths else arguments.rows
    if rows is None:
        raise Refusal("Say how many rows the edge has, or give --curve.")
    if arguments.armhole is not None:
        round_it = armhole(rows, arguments.armhole, arguments.underarm, gauge)
        if arguments.json:
            tell_json(round_it.model_dump() | {"loops": round_it.loops})
        else:
            tell(answers.armhole(round_it))
        return 0
    if arguments.loops is not None:
        loops = arguments.loops
    elif widths:
        loops = curved_loops(widths, gauge)
    elif arguments.lost is not None:
        loops = sloped_loops(rows, arguments.lost, gauge)
    else:
        loops = straight_loops(rows, gauge)
    found = pick_up(loops, rows)
    if arguments.json:
        tell_json(found.model_dump())
    else:
        tell(answers.pick_up(found))
    return 0


def _widths(said: str) -> list[float]:
    try:
        widths = [numbers.number(part) for part in said.split(",")]
    except ValueError:
        widths = []
    if len(widths) < 2:
        raise Refusal(
            f"The curve {said!r} is not understood: write its loops row by row, '12,10,9'."
        )
    return widths
