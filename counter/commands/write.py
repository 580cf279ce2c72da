"""`spokenrow write DESIGN_OR_MAKE`: the written pattern, by size."""

import argparse

from counter.arguments import add_plan_arguments, plan_from
from counter.places import open_store
from engine import progress
from engine.designs import DESIGNS
from engine.pattern.write import write
from engine.planning import script_for
from engine.refusal import Refusal
from models.script import RowScript


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("write", help="write a design or a make out as a pattern")
    add_plan_arguments(parser)
    parser.add_argument(
        "--sizes", metavar="S,M,L", help="the sizes to write for (default: all that it has)"
    )
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the pattern."""
    print(write(_scripts(arguments)), end="")
    return 0


def _scripts(arguments: argparse.Namespace) -> list[RowScript]:
    if arguments.design not in DESIGNS:
        store = open_store(arguments.data)
        try:
            plan, events = store.load(arguments.design)
        finally:
            store.close()
        return [progress.fold(plan, events).script]
    return [_script(arguments, size) for size in _sizes(arguments)]


def _sizes(arguments: argparse.Namespace) -> list[str]:
    if arguments.sizes and arguments.size:
        raise Refusal("Say --size for one size or --sizes for several, not both.")
    if arguments.sizes:
        return [size.strip() for size in arguments.sizes.split(",") if size.strip()]
    if arguments.size or _measured(arguments):
        return [arguments.size]
    return list(DESIGNS[arguments.design].info.sizes) or [""]


def _measured(arguments: argparse.Namespace) -> bool:
    """Whether the maker gave measurements of her own: then it is a pattern for one."""
    return any(
        name.startswith("measure_") and value is not None for name, value in vars(arguments).items()
    )


def _script(arguments: argparse.Namespace, size: str) -> RowScript:
    of_size = argparse.Namespace(**{**vars(arguments), "size": size})
    try:
        return script_for(plan_from(of_size))
    except Refusal as refusal:
        raise Refusal(f"Size {size}: {refusal}" if size else str(refusal)) from None
