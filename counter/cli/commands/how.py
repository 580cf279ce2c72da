"""`spokenrow how`: what the hands do, in small drawings; on needles in words."""

import argparse
from pathlib import Path

from counter.cli.output import add_output_arguments, write
from counter.shared.outward import tell
from engine.base.refusal import Refusal
from engine.draw.movement.cells import cells
from engine.draw.movement.on_needles import ON_NEEDLES
from engine.draw.movement.shown import movements
from engine.draw.movement.svg import box, svg
from models.script import Craft, Hand

_WIDE, _HIGH = 40, 14


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    known = ", ".join(dict.fromkeys([*movements(Craft.LOOP), *ON_NEEDLES]))
    parser = subparsers.add_parser("how", help="show what the hands do: 'how knit'")
    parser.add_argument("movement", nargs="*", help=f"one of: {known}")
    crafts = [craft.value for craft in Craft]
    parser.add_argument("--craft", choices=crafts, default=Craft.LOOP.value)
    parser.add_argument("--hand", choices=[hand.value for hand in Hand], default="right")
    parser.add_argument("--words", action="store_true", help="the sentences alone, no drawing")
    add_output_arguments(parser, "write it as a .svg")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the stages, or write them as a picture."""
    key = " ".join(arguments.movement).lower()
    craft = Craft(arguments.craft)
    known = movements(craft)
    if not key:
        for one in known.values():
            tell(f"{one.key:12} {one.title}")
        return 0
    movement = known.get(key)
    if movement is None:
        other = next(one for one in Craft if one is not craft)
        if key in movements(other):
            raise Refusal(f"{key!r} is of {other.value}: add --craft {other.value!r}.")
        raise Refusal(f"Nothing is called {key!r} here; there are {', '.join(known)}.")
    mirrored = arguments.hand == Hand.LEFT.value
    output: Path | None = arguments.output
    if output is not None:
        if not movement.drawn:
            raise Refusal("For needles there are words and no drawings: leave out '-o'.")
        if output.suffix.lower() != ".svg":
            raise Refusal(f"A drawing is a .svg, not {output.name!r}: end its name so.")
        write(output, svg(movement, mirrored=mirrored), overwrite=arguments.overwrite)
        tell(f"{output}: {movement.title}.")
        return 0
    tell(movement.title)
    for number, stage in enumerate(movement.stages, start=1):
        if movement.drawn and not arguments.words:
            for row in cells(stage, box(movement.stages), _WIDE, _HIGH, mirrored=mirrored):
                tell("".join(character for character, _ in row).rstrip())
        tell(f"{number}. {stage.sentence}")
    return 0
