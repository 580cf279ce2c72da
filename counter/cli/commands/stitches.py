"""`spokenrow stitches`: the stitch patterns that may be laid over a design."""

import argparse

from counter.shared.outward import tell, tell_json
from engine.plan.planning import DEFAULT_GAUGE, read_gauge
from engine.stitches import NAMES, StitchPattern, stitch_pattern


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("stitches", help="list the stitch patterns, or show one")
    parser.add_argument("name", nargs="?", help="one of them: its rows, and a swatch to begin with")
    parser.add_argument("--gauge", default=DEFAULT_GAUGE, help="yours, for the swatch's loops")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print them all, or one with its rows."""
    if arguments.name:
        return _one(stitch_pattern(arguments.name), arguments)
    found = [stitch_pattern(name) for name in NAMES]
    if arguments.json:
        tell_json({one.name: one.model_dump(mode="json") for one in found})
        return 0
    for one in found:
        tell(f"{one.name:18}{_multiple(one):18}{one.about}")
    return 0


def _multiple(one: StitchPattern) -> str:
    return f"multiple of {one.multiple}" + (f" + {one.extra}" if one.extra else "")


def _one(one: StitchPattern, arguments: argparse.Namespace) -> int:
    swatch = one.swatch(read_gauge(arguments.gauge))
    if arguments.json:
        tell_json({**one.model_dump(mode="json"), "swatch_loops": swatch})
        return 0
    tell(f"{one.title}: {_multiple(one)}, {' or '.join(one.crafts)}; {one.about}. {one.source}.")
    tell(one.text)
    tell(
        f"It draws in or spreads as it will: work a swatch of {swatch} in it, as high as wide, and "
        "give the gauge of that."
    )
    return 0
