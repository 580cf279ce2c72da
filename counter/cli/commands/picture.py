"""`spokenrow picture NAME_OR_DESIGN`: the whole make, drawn to scale."""

import argparse

from counter.cli.named import add_named_arguments, file_for, find
from counter.cli.output import add_output_arguments, write
from counter.paper import page
from counter.shared.outward import tell
from engine.base.refusal import Refusal
from engine.draw.schematic import layout
from engine.draw.schematic_svg import svg


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("picture", help="draw a make to scale: SVG or PNG")
    add_named_arguments(parser)
    add_output_arguments(parser, "a .svg or .png (default: NAME.svg)")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Write the picture and say where."""
    output = file_for(arguments, ".svg")
    kind = output.suffix.lower()
    if kind not in {".svg", ".png"}:
        raise Refusal(f"A picture is a .svg or a .png, not {output.name!r}: end its name so.")
    named = find(arguments)
    at, marks = (named.state.at, named.state.marks) if named.state else (None, ())
    picture = svg(
        layout(named.script, worded=True), named.script.title, named.script.craft, at, marks
    )
    content = picture if kind == ".svg" else page.png(picture)
    write(output, content, overwrite=arguments.overwrite)
    tell(f"{output}: {named.script.title}, drawn to scale.")
    return 0
