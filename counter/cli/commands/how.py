"""`spokenrow how`: what the hands do, in small drawings."""

import argparse
from pathlib import Path

from counter.cli.output import add_output_arguments, write
from counter.shared.outward import tell
from engine.base.refusal import Refusal
from engine.draw.movement.cells import cells
from engine.draw.movement.movements import MOVEMENTS
from engine.draw.movement.svg import box, svg
from models.script import Hand

_WIDE, _HIGH = 40, 14


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("how", help="show what the hands do: 'how knit'")
    parser.add_argument("movement", nargs="*", help=f"one of: {', '.join(MOVEMENTS)}")
    parser.add_argument("--hand", choices=[hand.value for hand in Hand], default="right")
    parser.add_argument("--words", action="store_true", help="the sentences alone, no drawing")
    add_output_arguments(parser, "write it as a .svg")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the stages, or write them as a picture."""
    key = " ".join(arguments.movement).lower()
    if not key:
        for one in MOVEMENTS.values():
            tell(f"{one.key:12} {one.title}")
        return 0
    movement = MOVEMENTS.get(key)
    if movement is None:
        raise Refusal(f"No drawing is called {key!r}; there are {', '.join(MOVEMENTS)}.")
    mirrored = arguments.hand == Hand.LEFT.value
    output: Path | None = arguments.output
    if output is not None:
        if output.suffix.lower() != ".svg":
            raise Refusal(f"A drawing is a .svg, not {output.name!r}: end its name so.")
        write(output, svg(movement, mirrored=mirrored), overwrite=arguments.overwrite)
        tell(f"{output}: {movement.title}.")
        return 0
    tell(movement.title)
    for number, stage in enumerate(movement.stages, start=1):
        if not arguments.words:
            for row in cells(stage, box(movement.stages), _WIDE, _HIGH, mirrored=mirrored):
                tell("".join(character for character, _ in row).rstrip())
        tell(f"{number}. {stage.sentence}")
    return 0
