"""What the commands for a maker's sums have in common: words in, lines or JSON out."""

import argparse

from counter.shared.outward import tell, tell_json
from engine.advise.sums import SUMS, asked


def add_sum(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]", name: str) -> None:
    """Add the command of the sum of that name."""
    one = next(one for one in SUMS if one.name == name)
    parser = subparsers.add_parser(name, help=one.what)
    parser.add_argument("words", nargs="+", help=f"for instance: '{one.example}'")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run, sum=name)


def run(arguments: argparse.Namespace) -> int:
    """Print what it comes to."""
    answer = asked(f"{arguments.sum} {' '.join(arguments.words)}")
    if arguments.json:
        tell_json(answer.found.model_dump(mode="json"))
    else:
        for line in answer.lines:
            tell(line)
    return 0
