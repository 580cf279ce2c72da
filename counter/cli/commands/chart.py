"""`spokenrow chart DESIGN_OR_MAKE`: a part's rows as a chart."""

import argparse
import shutil

from counter.cli.arguments import whole
from counter.cli.named import add_named_arguments, find
from counter.shared.outward import tell
from engine.draw.chart import chart
from engine.draw.chart_text import drawn
from models.script import LOOP_KINDS, RowScript


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "chart", help="draw a part's rows as a chart, the row in work lit"
    )
    add_named_arguments(parser)
    parser.add_argument("--part", help="the part; without it, the one in work or the first")
    parser.add_argument(
        "--columns", type=whole, metavar="N", help="columns to draw in (default: the terminal's)"
    )
    parser.add_argument("--all-rows", action="store_true", help="draw rows that repeat as well")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the chart."""
    named = find(arguments)
    script = named.script
    current = named.state.step.number if named.state and named.state.step else None
    part = arguments.part or _part_in_work(script, current)
    width = arguments.columns or shutil.get_terminal_size((80, 24)).columns
    tell(f"{script.title}: {part}")
    tell()
    for line in drawn(chart(script, part, current), width, all_rows=arguments.all_rows):
        tell(line)
    return 0


def _part_in_work(script: RowScript, current: int | None) -> str:
    if current is not None:
        return script.steps[current - 1].part
    return next(step.part for step in script.steps if step.kind in LOOP_KINDS)
