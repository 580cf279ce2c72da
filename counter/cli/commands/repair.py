"""`spokenrow repair MAKE`: what mending each marked loop costs, and until when it can be done."""

import argparse

from counter.cli.arguments import whole
from counter.cli.named import add_named_arguments, find
from counter.shared.outward import tell, tell_json
from engine.advise import repair
from engine.base.refusal import Refusal
from engine.make import answers
from models.state import Mark


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("repair", help="weigh the ways to mend a dropped loop")
    add_named_arguments(parser)
    parser.add_argument(
        "--step", type=whole, help="a step of the script, instead of the open marks"
    )
    parser.add_argument("--loop", type=whole, help="the loop in that step, counted as it is worked")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the ways, cheapest first."""
    named = find(arguments)
    state = named.state
    if state is None:
        raise Refusal(
            f"{arguments.design} is a design: name a make, since only work needs mending."
        )
    marks = list(state.open_marks)
    if arguments.step is not None:
        if not 1 <= arguments.step <= min(state.at + 1, len(state.script.steps)):
            raise Refusal(f"Step {arguments.step} is not worked: give 1 to {state.at + 1}.")
        step = state.script.steps[arguments.step - 1]
        if arguments.loop is not None and not 1 <= arguments.loop <= max(1, step.reached):
            raise Refusal(f"Step {step.number} has {step.reached} loops: give one of them.")
        marks = [
            Mark(number=0, step=step.number, part=step.part, row=step.row, loop=arguments.loop)
        ]
    advice = [repair.advise(state, mark) for mark in marks]
    if arguments.json:
        tell_json([one.model_dump() for one in advice])
        return 0
    if not advice:
        tell("No mark is open: nothing to mend.")
    for one in advice:
        for line in answers.mending(one, state).split("\n"):
            tell(line)
    return 0
