"""What a name on the command line means: a make on the shelf, a pattern file, or a design."""

import argparse
import sys
from dataclasses import dataclass
from pathlib import Path

from counter.cli.arguments import add_plan_arguments, plan_from
from counter.shared.outward import tell
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


def _stem(said: str) -> str:
    return Path(said.removeprefix(_DESIGN).removeprefix(_MAKE)).stem


def _asked_for_the_design(name: str) -> bool:
    """Which of the two is meant. Raises Refusal where nobody can be asked."""
    question = f"There is a make called {name!r} and a design: "
    if not sys.stdin.isatty():
        raise Refusal(f"{question}say {_MAKE}{name} or {_DESIGN}{name}.")
    tell(f"{question}m for the make, d for the design?", flush=True)
    answer = sys.stdin.readline().strip().lower()
    if answer[:1] not in {"m", "d"}:
        raise Refusal(f"Nothing is written: say {_MAKE}{name} or {_DESIGN}{name}.")
    return answer[0] == "d"


def file_for(arguments: argparse.Namespace, suffix: str) -> Path:
    """The file to write: the one named, or one called like the make."""
    named: Path | None = arguments.output
    return named or Path(_stem(arguments.design) + suffix)


_MAKE, _DESIGN = "make:", "design:"
"""Before a name that a make and a design share: which of them is meant."""


def settle(arguments: argparse.Namespace) -> None:
    """Where a make is called like a design, have it asked which is meant.

    At a terminal by a question, else by a refusal. Raises Refusal where none is chosen.
    """
    name = arguments.design
    if name not in DESIGNS or not (data_folder(arguments.data) / "makes.db").exists():
        return
    store = open_store(arguments.data)
    try:
        known = store.names()
    finally:
        store.close()
    if name in known:
        design = _asked_for_the_design(name)
        arguments.design = f"{_DESIGN if design else _MAKE}{name}"


def find(arguments: argparse.Namespace) -> Named:
    """The make of that name, or else what the design or the pattern file comes to.

    Where a make is called like a design, `make:` or `design:` before the name says which (see
    `settle`); without it the make is meant. Raises Refusal for a name that is neither, and for
    measurements that make no script.
    """
    said = arguments.design
    design = said.startswith(_DESIGN)
    name = said.removeprefix(_DESIGN).removeprefix(_MAKE)
    if name != said:
        arguments = argparse.Namespace(**{**vars(arguments), "design": name})
    made = (data_folder(arguments.data) / "makes.db").exists()
    known: list[str] = []
    if made:
        store = open_store(arguments.data)
        try:
            known = store.names()
            if name in known and not design:
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
