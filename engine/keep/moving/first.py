"""Asks the first release for the scripts behind its journals, in a program of its own.

`first.zip` holds the first release's modules from plan to fold, as they were, and a `__main__`
that reads a make a line and answers a line. Nothing of it is loaded into this program.
"""

import json
import subprocess
import sys
from collections.abc import Iterable, Sequence
from importlib.resources import as_file, files
from typing import Any

from models.frozen import Frozen

WAIT_S = 300.0
"""Seconds for a whole folder of makes; a hundred long ones take half a minute."""


class Tail(Frozen):
    """What an event that planned anew left to be worked."""

    worked: int
    """Steps that were worked then."""
    script: dict[str, Any]
    """The script after them, as the first release's JSON."""


class Answer(Frozen):
    """How the first release worked a make."""

    script: dict[str, Any]
    """The script that the make began with, as that release's JSON."""
    tails: dict[int, Tail]
    """By the number of the event, counted from 0."""
    at: int
    """Index of the step in work."""
    yarn: int
    """Loops of yarn used."""


def ask(makes: Iterable[tuple[str, Sequence[str]]], wait_s: float = WAIT_S) -> list[Answer | None]:
    """The answer for each (plan, events), all JSON; None where there is none.

    There is none for what the first release cannot have written, and for all of them where its
    modules do not run here any more.
    """
    asked = [json.dumps({"plan": plan, "events": list(events)}) for plan, events in makes]
    if not asked:
        return []
    said: list[Answer | None] = []
    with as_file(files("engine.keep.moving") / "first.zip") as archive:
        try:
            done = subprocess.run(
                [sys.executable, "-B", str(archive)],
                input="".join(f"{line}\n" for line in asked).encode(),
                capture_output=True,
                timeout=wait_s,
                check=False,
            )
            lines = done.stdout.splitlines()
        except subprocess.TimeoutExpired as late:
            lines = (late.stdout or b"").splitlines()
        except OSError:
            lines = []
    for line in lines[: len(asked)]:
        said.append(_read(line))
    return [*said, *([None] * (len(asked) - len(said)))]


def _read(line: bytes) -> Answer | None:
    try:
        data = json.loads(line)
        tails = {
            int(number): Tail(worked=worked, script=script)
            for number, (worked, script) in data.pop("tails").items()
        }
        return Answer(**data, tails=tails)
    except (ValueError, TypeError, KeyError):  # refused, or cut short
        return None
