"""Decides where a part of the make begins, and which rows only describe a stitch."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from engine.pattern.text.sorting import WORK, Sorted
from engine.pattern.text.statements import (
    AsPart,
    Described,
    Even,
    Heading,
    Repeat,
    RowLine,
    ShapeRows,
    Statement,
    StepLine,
)

_STITCH = re.compile(r"\s*\(.*?\)|\s+(?:stitch|st|pattern|patt)\.?$", re.I)
_BEGINNINGS = {"foundation", "pick up"}


def in_parts(lines: Sequence[Sorted]) -> list[Sorted]:
    """The lines with each heading as a part of its own, or as one that goes on with the loops."""
    lines = _described(lines)
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
            begins = (isinstance(first, AsPart) and not first.shaping) or _begins(first)
            said.append(
                replace(statement, kind="part", text=name, names=() if begins else ("goes on",))
            )
        out.append(replace(line, said=tuple(said)))
    return out


def _described(lines: Sequence[Sorted]) -> list[Sorted]:
    """Rows above the first loop, or under a heading of stitches, say how a stitch is worked."""
    first = next((i for i, line in enumerate(lines) if any(_begins(s) for s in line.said)), None)
    out: list[Sorted] = []
    name, held = "pattern", list[RowLine]()
    works, decided = False, 0
    for index, line in enumerate(lines):
        heads = [s for s in line.said if isinstance(s, Heading)]
        above = first is not None and index < first
        if above or heads or line.section != "patterns":
            works, decided = False, index + 1
        elif not works and index >= decided:
            works, decided = _works_here(lines, index)
        describes = above or (line.section == "patterns" and not works)
        rows = [s for s in line.said if isinstance(s, RowLine)] if describes else []
        named = line.kind == "heading" and bool(line.label)
        if held and (heads or named or not describes or (line.said and not rows)):
            _keep(out, name, held)
            held = []
        if heads and heads[-1].kind in {"section part", "section", "part"}:
            name = heads[-1].text
        elif named and not heads:
            name = line.label
        held += rows
        kept = tuple(s for s in line.said if s not in rows) if rows else line.said
        if describes:
            kept = tuple(
                s for s in kept if not ((above and isinstance(s, Even)) or _of_rows(s, above))
            )
        out.append(replace(line, said=kept))
    if held:
        _keep(out, name, held)
    return out


def _works_here(lines: Sequence[Sorted], index: int) -> tuple[bool, int]:
    """Whether work comes to the rows of a stitch where they stand; and from which line on it is to
    be asked again.

    Rows below the first loop are worked, and no mere description, where what follows them under the
    same heading repeats them, or goes on with other work and nothing later is in that stitch.
    """
    for at in range(index, len(lines)):
        for said in lines[at].said:
            if isinstance(said, Heading):
                return False, at
            if isinstance(said, Repeat) and said.kind != "named":
                if said.span.kind != "once" or said.span.number:
                    return True, at + 1
            elif isinstance(said, (Even, StepLine, ShapeRows)):
                later = (s for line in lines[at:] for s in line.said)
                return not any(map(_in_a_stitch, later)), at + 1
    return False, len(lines)


def _of_rows(said: Statement, above: bool) -> bool:
    """`Repeat rows 1-4` in a description says what its rows are; with a length it is work."""
    return isinstance(said, Repeat) and (above or (said.span.kind == "once" and not said.turns))


def _in_a_stitch(said: Statement) -> bool:
    return isinstance(said, Even) and bool(said.patterned or said.of)


def _keep(out: list[Sorted], name: str, rows: list[RowLine]) -> None:
    """Put a description into the last line that belongs to it."""
    described = Described(_STITCH.sub("", name).strip() or name, tuple(rows), rows[0].spot)
    out[-1] = replace(out[-1], said=(*out[-1].said, described))


def _begins(statement: Statement) -> bool:
    return isinstance(statement, StepLine) and statement.kind in _BEGINNINGS


def _work(lines: Iterable[Sorted]) -> Iterator[Statement]:
    """The working statements up to the next heading."""
    for line in lines:
        for statement in line.said:
            if isinstance(statement, Heading) and statement.kind in {"section part", "part"}:
                return
            if isinstance(statement, WORK):
                yield statement
