"""`spokenrow stitches`: the stitch patterns that may be laid over a design."""

import argparse
from pathlib import Path

from counter.shared.outward import tell, tell_json
from counter.shared.written import pattern_text
from engine.plan.planning import DEFAULT_GAUGE, read_gauge
from engine.stitches import NAMES, Cloth, StitchPattern, read_stitch, stitch_pattern
from models.script import Craft


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("stitches", help="list the stitch patterns, or show one")
    parser.add_argument("name", nargs="?", help="one of them, or a file: its rows, and a swatch")
    parser.add_argument("--gauge", default=DEFAULT_GAUGE, help="yours, for the swatch's loops")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print them all, or one with its rows."""
    if arguments.name:
        return _one(_named(arguments.name), arguments)
    found = [stitch_pattern(name) for name in NAMES]
    if arguments.json:
        tell_json({one.name: one.model_dump(mode="json") for one in found})
        return 0
    for one in found:
        tell(f"{one.name:18}{_multiple(one):18}{one.about}")
    return 0


def _named(name: str) -> StitchPattern:
    """One of those that there are, or the one in a file. Raises Refusal for none that comes out."""
    path = Path(name)
    if not path.is_file():
        return stitch_pattern(name)
    one = read_stitch(path.stem[:60], pattern_text(path))
    Cloth.of(one, one.multiple + one.extra, Craft.NEEDLES).row(1)
    return one


def _multiple(one: StitchPattern) -> str:
    return f"multiple of {one.multiple}" + (f" + {one.extra}" if one.extra else "")


def _one(one: StitchPattern, arguments: argparse.Namespace) -> int:
    swatch = one.swatch(read_gauge(arguments.gauge))
    if arguments.json:
        tell_json({**one.model_dump(mode="json"), "swatch_loops": swatch})
        return 0
    about = f"; {one.about}" if one.about else ""
    source = one.source[:1].upper() + one.source[1:]
    tell(f"{one.title}: {_multiple(one)}, {' or '.join(one.crafts)}{about}. {source}.")
    for line in one.text.splitlines():
        tell(line)
    tell(
        f"It draws in or spreads as it will: work a swatch of {swatch} in it, as high as wide, and "
        "give the gauge of that."
    )
    return 0
