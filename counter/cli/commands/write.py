"""`spokenrow write DESIGN_OR_MAKE`: the written pattern, by size."""

import argparse
from pathlib import Path

from counter.cli.named import add_named_arguments, find, settle
from counter.shared.outward import tell_lines
from counter.shared.written import pattern_text
from engine.base.refusal import Refusal
from engine.craft.sizes import table_of
from engine.designs import DESIGNS
from engine.pattern.text.read import read
from engine.pattern.write import write
from models.script import RowScript


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("write", help="write a design or a make out as a pattern")
    add_named_arguments(parser)
    parser.add_argument(
        "--sizes", metavar="S,M,L", help="the sizes to write for (default: all that it has)"
    )
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the pattern."""
    if not arguments.sizes:
        settle(arguments)
    elif arguments.design in DESIGNS:
        # A make has one size, so the design of that name is meant.
        arguments.design = f"design:{arguments.design}"
    tell_lines(write(_scripts(arguments)))
    return 0


def _scripts(arguments: argparse.Namespace) -> list[RowScript]:
    return [_script(arguments, size) for size in _sizes(arguments)]


def _sizes(arguments: argparse.Namespace) -> list[str]:
    """The sizes that are asked for; an empty one for what has none, or is made for one body."""
    if arguments.sizes and arguments.size:
        raise Refusal("Say --size for one size or --sizes for several, not both.")
    if arguments.sizes:
        return [size.strip() for size in arguments.sizes.split(",") if size.strip()]
    if arguments.size or _measured(arguments):
        return [arguments.size]
    name = arguments.design.removeprefix("design:")
    if name in DESIGNS:
        table = table_of(DESIGNS[name].usual)  # women's and men's sizes make no one pattern
        return [size for size in DESIGNS[name].info.sizes if not table or size in table] or [""]
    path = Path(arguments.design)
    return list(read(pattern_text(path)).sizes) if path.is_file() else [""]


def _measured(arguments: argparse.Namespace) -> bool:
    """Whether the maker gave measurements of her own: then it is a pattern for one."""
    return any(
        name.startswith("measure_") and value is not None for name, value in vars(arguments).items()
    )


def _script(arguments: argparse.Namespace, size: str) -> RowScript:
    of_size = argparse.Namespace(**{**vars(arguments), "size": size})
    try:
        return find(of_size).script
    except Refusal as refusal:
        raise Refusal(f"Size {size}: {refusal}" if size else str(refusal)) from None
