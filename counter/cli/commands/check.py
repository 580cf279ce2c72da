"""`spokenrow check FILE`: a written pattern, every row counted for every size.

Exit codes: 0 sound, 1 faults found, 2 unreadable.
"""

import argparse
from pathlib import Path

from counter.cli.arguments import whole
from counter.shared.outward import tell, tell_json
from counter.shared.pasted import read_pasted
from counter.shared.written import pattern_text
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.pattern.check import check_row
from engine.plan.planning import read_gauge
from engine.script.wording import counted
from models.pattern import Fault, LineRead, PatternCheck, RowCheck, Severity
from models.script import Craft

FAULTS_FOUND = 1
UNREADABLE = 2


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "check", help="count a written pattern, or one row of it, and say what does not come out"
    )
    parser.add_argument("file", nargs="?", type=Path, help="a pattern file")
    parser.add_argument("--row", help="one row instead of a file")
    parser.add_argument("--on", type=whole, metavar="N", help="the loops that the row is worked on")
    parser.add_argument("--gauge", help="your gauge, where it is not the pattern's")
    parser.add_argument("--craft", choices=[craft.value for craft in Craft], default=None)
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Check the file or the row. Raises Refusal for neither, or for what cannot be read."""
    if arguments.row is not None:
        if arguments.file is not None:
            raise Refusal("Give a pattern file or --row, not both.")
        if arguments.on is None or not 0 <= arguments.on <= 5000:
            raise Refusal("Say on how many loops the row is worked: --on N, 0 to 5000.")
        craft = Craft(arguments.craft) if arguments.craft else None
        return _row(check_row(arguments.row, arguments.on, craft), arguments.json)
    if arguments.file is None:
        raise Refusal("Give a pattern file, or a row with --row and --on.")
    gauge = read_gauge(arguments.gauge) if arguments.gauge else None
    text = pattern_text(arguments.file)
    checked = read_pasted(text, gauge)
    if arguments.json:
        tell_json(_pattern_json(checked, str(arguments.file)))
    else:
        _tell(checked, str(arguments.file))
    if checked.unread:
        return UNREADABLE
    return 0 if checked.sound else FAULTS_FOUND


def _fault_json(fault: Fault) -> dict[str, object]:
    return {**fault.model_dump(mode="json"), "sentence": fault.sentence()}


def _row(checked: RowCheck, as_json: bool) -> int:
    faults = [f for f in checked.faults if f.severity is not Severity.WARNING]
    warnings = [f for f in checked.faults if f.severity is Severity.WARNING]
    if as_json:
        told: dict[str, object] = {
            "on": checked.on,
            "takes": checked.takes,
            "leaves": checked.leaves,
            "faults": [_fault_json(f) for f in faults],
        }
        if checked.unworked:
            told["unworked"] = checked.unworked
        if warnings:
            told["warnings"] = [_fault_json(f) for f in warnings]
        tell_json(told, indent=None)
    else:
        short = f", {checked.unworked} of them unworked" if checked.unworked else ""
        tell(f"on {checked.on}: takes {checked.takes}, leaves {checked.leaves}{short}")
        for fault in checked.faults:
            tell(fault.sentence())
    return FAULTS_FOUND if faults else 0


def _pattern_json(checked: PatternCheck, file: str) -> dict[str, object]:
    told = checked.model_dump(mode="json")
    told["file"] = file
    told["lines"] = [_line_json(line) for line in checked.lines]
    told["unread"] = sum(line.taken_as == "unread" for line in checked.lines)
    told["sound"] = checked.sound and not checked.unread
    told["faults"] = [_fault_json(f) for f in checked.faults if f.severity is not Severity.WARNING]
    told["warnings"] = [_fault_json(f) for f in checked.faults if f.severity is Severity.WARNING]
    return told


def _line_json(line: LineRead) -> dict[str, object]:
    told = line.model_dump(mode="json")
    told["as"] = told.pop("taken_as")
    return told


def _tell(checked: PatternCheck, file: str) -> None:
    near = {line.line: line.nearest for line in checked.lines if line.nearest}
    for fault in checked.faults:
        tell(fault.sentence(file))
        if fault.severity is Severity.UNREAD:
            for reading in near.pop(fault.line, ()):
                tell(f"    meant, perhaps: {reading}")
    craft = Craft(checked.craft)
    for size in checked.counts:
        name = f"size {size.size}: " if len(checked.sizes) > 1 else ""
        across = counted(size.most_loops, craft)
        tell(
            f"{name}sound; {some(size.rows, 'row')}, at most {across} across, "
            f"{counted(size.yarn_loops, craft)} worked."
        )
