"""`spokenrow rows DESIGN`: the row script."""

import argparse

from counter.cli.arguments import add_plan_arguments, plan_from
from counter.shared.outward import tell, tell_json
from engine.advise import fitting
from engine.plan.planning import script_for
from engine.script import wording
from models.script import RowScript


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("rows", help="print a design's row script")
    add_plan_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def as_json(script: RowScript) -> dict[str, object]:
    """The script as plain data, in the shape that the README documents."""
    return {
        "title": script.title,
        "size": script.size,
        "gauge": script.gauge.model_dump(),
        "yarn_loops": script.yarn_loops,
        "finished_cm": script.finished_cm,
        "steps": [
            step.model_dump(mode="json")
            | {
                "text": wording.text(step, script.craft),
                "spoken": wording.spoken(step, script.craft),
            }
            for step in script.steps
        ],
    }


def run(arguments: argparse.Namespace) -> int:
    """Print the script."""
    plan = plan_from(arguments)
    script = script_for(plan)
    if arguments.json:
        tell_json(as_json(script))
        return 0
    size = f", {told}" if (told := fitting.told_size(plan)) else ""
    tell(
        f"{script.title}{size}: {wording.counted(script.yarn_loops, script.craft)} of yarn in all."
    )
    for name, cm in script.finished_cm.items():
        tell(f"  {name}: {cm:g} cm")
    part = ""
    for step in script.steps:
        if step.part != part:
            part = step.part
            tell()
            tell(part.upper())
        tell(f"{step.number:4}  {wording.text(step, script.craft)}")
    return 0
