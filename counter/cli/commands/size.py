"""`spokenrow size DESIGN`: the garment's measurements beside the body's."""

import argparse

from counter.cli.named import add_named_arguments, find
from counter.shared.outward import tell, tell_json
from engine.advise.fitting import lines, size_near
from engine.base.numbers import Length
from engine.base.refusal import Refusal
from engine.craft.sizes import EASE_CM, ease_of
from models.fit import Line


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("size", help="show the garment beside the body, and the ease")
    add_named_arguments(parser)
    parser.add_argument("--intent", choices=list(EASE_CM), help="ease by how it is to sit")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the table."""
    if arguments.intent:
        if arguments.measure_ease is not None:
            raise Refusal("Give --intent or --ease, not both.")
        arguments.measure_ease = Length(ease_of(arguments.intent), unit_cm=1.0)
    named = find(arguments)
    found, near = lines(named.plan, named.script), size_near(named.plan)
    if arguments.json:
        table = {
            line.name: line.model_dump() | {"ease": line.ease, "rounding": line.rounding}
            for line in found
        }
        data = {"size": named.script.size, "nearest": near and near.model_dump(), "cm": table}
        tell_json(data)
        return 0
    if near:
        off = "" if abs(near.off) < 0.05 else f", {near.off:+.1f} cm off its middle"
        tell(f"Nearest size: {near.name} (bust {near.bust:g} cm{off}).")
    tell(f"{'cm':16}{'body':>9}{'ease':>9}{'wanted':>9}{'garment':>9}{'rounding':>10}")
    for line in found:
        tell(_row(line))
    return 0


def _row(line: Line) -> str:
    def cell(value: float | None, sign: str = "") -> str:
        return "" if value is None else f"{value:{sign}.1f}"

    return (
        f"{line.name:16}{cell(line.body):>9}{cell(line.ease, '+'):>9}{cell(line.wanted):>9}"
        f"{cell(line.garment):>9}{cell(line.rounding, '+'):>10}"
    ).rstrip()
