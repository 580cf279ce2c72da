"""What a name on the command line means: a make on the shelf, a pattern file, or a design."""

import argparse
from dataclasses import dataclass
from pathlib import Path

from counter.cli.arguments import add_plan_arguments, plan_from
from counter.shared.places import data_folder, open_store
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.keep.store import unreadable
from engine.make import progress
from engine.plan.planning import script_for
from models.plan import Plan
from models.script import RowScript
from models.state import MakeState


@dataclass(frozen=True)
class Named:
    """A plan with its script, and how far it is worked where it is a make."""

    plan: Plan
    script: RowScript
    state: MakeState | None


def add_named_arguments(parser: argparse.ArgumentParser) -> None:
    """A make's name, or a design with its measurements."""
    add_plan_arguments(parser, or_make="a make on the shelf, or ")


def file_for(arguments: argparse.Namespace, suffix: str) -> Path:
    """The file to write: the one named, or one called like the make."""
    named: Path | None = arguments.output
    return named or Path(Path(arguments.design).stem + suffix)


def find(arguments: argparse.Namespace) -> Named:
    """The make of that name, or else what the design or the pattern file comes to.

    Raises Refusal for a name that is neither, and for measurements that make no script.
    """
    name = arguments.design
    made = (data_folder(arguments.data) / "makes.db").exists()
    known: list[str] = []
    if made:
        store = open_store(arguments.data)
        try:
            known = store.names()
            if name in known:
                begun, events = store.load(name)
                try:
                    state = progress.fold(begun, events)
                except Refusal as why:
                    raise unreadable(name, str(why)) from why
                return Named(state.plan, state.script, state)
        finally:
            store.close()
    if name not in DESIGNS and not Path(name).is_file():
        raise Refusal(
            f"There is no make, design or pattern file called {name!r}; the makes are: "
            f"{', '.join(known) or 'none yet'}; the designs: {', '.join(DESIGNS)}."
        )
    plan = plan_from(arguments)
    return Named(plan, script_for(plan), None)
