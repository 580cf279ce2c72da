"""`spokenrow resize FILE`: a written pattern at another gauge."""

import argparse
from pathlib import Path

from counter.cli import output
from counter.shared.outward import tell, tell_json, tell_lines
from counter.shared.written import pattern_text
from engine.pattern.resize import outcomes
from engine.plan.planning import read_gauge
from engine.plan.resized import resized
from models.pattern import SizeOutcome


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "resize", help="what comes out of a pattern at your gauge, or its counts made anew for it"
    )
    parser.add_argument("file", type=Path, help="a pattern file")
    parser.add_argument("--gauge", required=True, help="yours: loops x rows per 10 cm")
    parser.add_argument(
        "--keep", action="store_true", help="keep the counts; only say what size comes out"
    )
    output.add_output_arguments(parser, "write the recomputed pattern here")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print what comes out and what changes, or write the new pattern."""
    text, gauge = pattern_text(arguments.file), read_gauge(arguments.gauge)
    if arguments.keep:
        kept = outcomes(text, gauge)
        if arguments.json:
            tell_json({"outcomes": [o.model_dump() for o in kept]})
        else:
            _tell(kept)
        return 0
    made = resized(text, gauge)
    if arguments.output:
        output.write(arguments.output, made.text, overwrite=arguments.overwrite)
    if arguments.json:
        tell_json(made.model_dump(mode="json"))
        return 0
    tell("With the counts as they are:")
    _tell(made.outcomes)
    tell()
    tell("So that the measurements stay:" if made.changes else "No count has to change.")
    for change in made.changes:
        place = f"{arguments.file}:{change.line}:{change.column}"
        tell(f"  {place}: {change.was} becomes {change.now} ({change.why})")
    if not arguments.output:
        tell()
        tell_lines(made.text)
    return 0


def _tell(found: tuple[SizeOutcome, ...]) -> None:
    for o in found:
        size = "" if o.size == "one size" else f"size {o.size}, "
        tell(
            f"  {size}{o.part}: {o.width_now:g} cm wide instead of {o.width_was:g}, "
            f"{o.height_now:g} cm high instead of {o.height_was:g}"
        )
