"""Decides where a part of the make begins, and which rows only describe a stitch."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from engine.pattern.text.sorting import WORK, Sorted
from engine.pattern.text.tree import Heading, Statement, StepLine

_BEGINNINGS = {"foundation", "pick up"}


def in_parts(lines: Sequence[Sorted]) -> list[Sorted]:
    """The lines with each heading as a part of its own, or as one that goes on with the loops."""
    out: list[Sorted] = []
    names: dict[str, int] = {}
    for index, line in enumerate(lines):
        if not any(isinstance(s, Heading) and s.kind == "section part" for s in line.said):
            out.append(line)
            continue
        first = next(_work(lines[index + 1 :]), None)
        said: list[Statement] = []
        for statement in line.said:
            if not (isinstance(statement, Heading) and statement.kind == "section part"):
                said.append(statement)
                continue
            if first is None:
                continue  # nothing is worked under it
            name = statement.text
            names[name] = names.get(name, 0) + 1
            if names[name] > 1:
                name = f"{name} ({names[name]})"
            begins = isinstance(first, StepLine) and first.kind in _BEGINNINGS
            said.append(
                replace(statement, kind="part", text=name, names=() if begins else ("goes on",))
            )
        out.append(replace(line, said=tuple(said)))
    return out


def _work(lines: Iterable[Sorted]) -> Iterator[Statement]:
    """The working statements up to the next heading."""
    for line in lines:
        for statement in line.said:
            if isinstance(statement, Heading) and statement.kind in {"section part", "part"}:
                return
            if isinstance(statement, WORK):
                yield statement
