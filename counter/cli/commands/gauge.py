"""`spokenrow gauge`: the gauge from swatches, or from the work itself."""

import argparse

from counter.cli.arguments import length, whole
from counter.shared.outward import tell, tell_json
from engine.base.numbers import CM_PER_INCH
from engine.base.refusal import Refusal
from engine.craft.swatch import from_work, read_swatch, reading
from models.swatch import GaugeReading

DEFAULT_ACROSS = 100.0
"""Width in cm over which a swatch's error is shown, if none is given."""


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("gauge", help="work out the gauge from swatches or from rows")
    parser.add_argument(
        "swatch",
        nargs="*",
        help="loops x rows over width x height, laid flat: '8 x 7 over 15.5 x 18 cm'",
    )
    parser.add_argument("--unit", choices=["cm", "in"], default="cm", help="unit of lengths")
    parser.add_argument(
        "--across", type=length, metavar="LENGTH", help="the width it will be used for"
    )
    parser.add_argument("--rows", type=whole, metavar="N", help="rows worked, with --measured")
    parser.add_argument("--measured", type=length, metavar="LENGTH", help="what the tape says")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the gauge and its warnings."""
    per_unit = CM_PER_INCH if arguments.unit == "in" else 1.0
    if (arguments.rows is None) != (arguments.measured is None):
        raise Refusal("Give --rows and --measured together: rows worked, and what the tape says.")
    if arguments.rows is not None:
        if arguments.swatch:
            raise Refusal("Give swatches, or --rows with --measured, not both.")
        rows = from_work(arguments.rows, arguments.measured.cm(per_unit))
        if arguments.json:
            tell_json({"rows_per_10cm": rows}, indent=None)
        else:
            tell(f"{rows:.2f} rows per 10 cm.")
        return 0
    across = DEFAULT_ACROSS if arguments.across is None else arguments.across.cm(per_unit)
    if across <= 0:
        raise Refusal("The width of --across is more than nothing.")
    found = reading([read_swatch(said, arguments.unit) for said in arguments.swatch], across)
    if arguments.json:
        tell_json(found.model_dump(mode="json"))
    else:
        _print(found, across)
    return 0


def _print(found: GaugeReading, across: float) -> None:
    gauge = found.gauge
    tell(f"{gauge.loops_per_10cm:.2f} loops x {gauge.rows_per_10cm:.2f} rows per 10 cm.")
    if found.swatches > 1:
        tell(
            f"{found.swatches} swatches; between them {found.spread_loops:.2f} loops and "
            f"{found.spread_rows:.2f} rows."
        )
    tell(
        f"Half a loop miscounted is {found.miscount:.1%}: {found.miscount * across:.1f} cm over "
        f"{across:.0f} cm."
    )
    for warning in found.warnings:
        tell(f"Beware: {warning}")
