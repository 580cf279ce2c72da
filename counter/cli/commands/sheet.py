"""`spokenrow sheet NAME_OR_DESIGN`: the pattern sheet on paper."""

import argparse

from counter.cli.named import Named, add_named_arguments, file_for, find, settle
from counter.cli.output import add_output_arguments, write
from counter.paper import page
from counter.paper.document import sheet
from counter.shared.outward import tell
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from models.plan import Plan
from models.script import RowScript


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("sheet", help="write a pattern sheet: PDF or HTML")
    add_named_arguments(parser)
    parser.add_argument("--sizes", metavar="S,M,L", help="several sizes of a design on one sheet")
    add_output_arguments(parser, "a .pdf or .html (default: NAME.pdf)")
    parser.set_defaults(handler=run)


def _worked(arguments: argparse.Namespace) -> tuple[list[tuple[Plan, RowScript]], Named]:
    """Every size's plan and script, and the first as it was named."""
    if not arguments.sizes:
        settle(arguments)
        named = find(arguments)
        return [(named.plan, named.script)], named
    if arguments.size:
        raise Refusal("Give either --size or --sizes.")
    if arguments.design in DESIGNS:
        # A make has one size, so the design of that name is meant.
        arguments.design = f"design:{arguments.design}"
    sizes = list(dict.fromkeys(size.strip() for size in arguments.sizes.split(",")))
    found = [find(argparse.Namespace(**{**vars(arguments), "size": size})) for size in sizes]
    if found[0].state is not None:
        raise Refusal(
            f"{arguments.design!r} is a make of one size already: leave --sizes out, or name a "
            "design."
        )
    return [(one.plan, one.script) for one in found], found[0]


def run(arguments: argparse.Namespace) -> int:
    """Write the sheet and say where."""
    output = file_for(arguments, ".pdf")
    kind = output.suffix.lower()
    if kind not in {".pdf", ".html"}:
        raise Refusal(f"A sheet is a .pdf or a .html, not {output.name!r}: end its name so.")
    worked, named = _worked(arguments)
    document = sheet(worked, named.state)
    content = page.pdf(document) if kind == ".pdf" else page.html(document)
    write(output, content, overwrite=arguments.overwrite)
    tell(f"{output}: {document.title}, {document.facts[0][1]}.")
    return 0
