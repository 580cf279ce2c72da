"""Parts told by another: "work as for back to armhole", "as left front, reversing shaping".

The other part's statements are worked again. Reversed, each row is the mirror image of the
other's: what stood at its beginning stands at its end. Loops can only be bound off where a row
begins, so that this comes one row later than at the other part (common practice, no source).
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

from engine.pattern.count.drafts import Draft
from engine.pattern.count.ledger import Ledger
from engine.pattern.count.sides import first_side
from engine.pattern.text.row_items import Claim, uncounted
from engine.pattern.text.statements import (
    MARK,
    AsPart,
    Even,
    Heading,
    Note,
    Repeat,
    RowLine,
    ShapeRows,
    Span,
    Statement,
    Talk,
)
from engine.script.repeats import merged
from models.script import ROW_KINDS, Kind, Operation
from models.stitch import Role

_NOT_REVERSED = {Role.REGROUP, Role.TURN, Role.MARKER, Role.SLIP}


def as_part(
    ledger: Ledger,
    said: AsPart,
    statements: Sequence[Statement],
    say: Callable[[Statement, Sequence[Statement]], None],
) -> None:
    """Work the part that is named once more, as far as is said; `say` works a statement."""
    other_side = bool(_SIDE.fullmatch(said.name)) and not _is_part(said.name, statements)
    meant = first_side(ledger, said) if other_side else _meant(ledger, said, statements)
    if not meant:
        return
    first = len(ledger.out.drafts)
    # its rows are the other part's, edges and all, before they are mirrored
    ledger.edges_as = said.name if said.reversed and not other_side else ""
    for index, statement in enumerate(meant):
        say(statement, meant[index + 1 :])
    ledger.edges_as = ""
    worked = ledger.out.drafts[first:]
    shaped = any(d.before != d.after for d in worked if d.kind in ROW_KINDS)
    if (said.reversed or (other_side and shaped)) and ledger.out.sound:
        _reverse(ledger, said, worked)


_SIDE = re.compile(
    r"(?:the )?(?:first|other|1st|opposite|left|right) (?:side|half|shoulder|neck|piece)|side"
)


def _is_part(name: str, statements: Sequence[Statement]) -> bool:
    return any(
        isinstance(s, Heading) and s.kind == "part" and _calls(name, s.text.lower())
        for s in statements
    )


def _meant(
    ledger: Ledger, said: AsPart, statements: Sequence[Statement]
) -> Sequence[Statement] | None:
    parts: dict[str, list[Statement]] = {}
    sections: dict[str, list[Statement]] = {}
    name = section = ""
    for statement in statements:
        if statement is said:
            break
        goes_on = isinstance(statement, Heading) and parts and "goes on" in statement.names
        if isinstance(statement, Heading) and statement.kind == "part":
            section = statement.text.lower()
        else:
            sections.setdefault(section, []).append(statement)
        if isinstance(statement, Heading) and statement.kind == "part" and not goes_on:
            name = statement.text.lower()
            parts[name] = []
        else:
            parts.setdefault(name, []).append(statement)
    here = ledger.part.lower()
    found = [n for n in parts if said.name == n] or [n for n in parts if _calls(said.name, n)]
    found = [n for n in found if n != here]
    if len(found) != 1 or not any(map(_moves, parts[found[0]])):
        asked = set(said.name.split())
        within = [n for n in sections if n and n != here and asked <= set(n.split())]
        within = [n for n in within if n == said.name] or within
        if len(within) == 1:
            parts, found = sections, within  # told under a heading that goes on with the piece
    if len(found) == 1 and not any(map(_moves, parts[found[0]])):
        found = []
    if len(found) != 1:
        known = ", ".join(n for n in parts if n and n != here) or "none"
        several = f", and {' and '.join(found)} are" if found else ""
        ledger.fault(
            said.spot, f"is as {said.name}{several}", f"name one of the parts so far: {known}"
        )
        return None
    meant = parts[found[0]]
    if any(isinstance(s, AsPart) and s.reversed for s in meant) and said.reversed:
        ledger.fault(said.spot, "reverses what is reversed", "say which part it is like")
        return None
    return _up_to(ledger, said, meant)


def _moves(statement: Statement) -> bool:
    return not isinstance(statement, (Heading, Claim, Talk, Note))


def _calls(name: str, part: str) -> bool:
    """Whether a part is meant by a shorter or longer name: `front` and `the left front`."""
    ours, theirs = set(name.split()), set(part.split())
    return ours <= theirs or theirs <= ours  # a part without a name may be any


def _up_to(
    ledger: Ledger, said: AsPart, statements: Sequence[Statement]
) -> Sequence[Statement] | None:
    if said.marks:
        return _between_marks(ledger, said, statements)
    if said.span:
        return _as_long(ledger, said, said.span, statements)
    if not said.until:
        return statements
    for index, statement in enumerate(statements):
        if isinstance(statement, Heading) and said.until in statement.text.lower():
            if said.shaping:
                return _shaping(statements[index:])
            return statements[: _shaped(statements, index + 1) if said.through else index]
    ledger.fault(
        said.spot,
        f"is as {said.name} {'in' if said.shaping else 'to'} the {said.until}, and no heading "
        "there says where that begins",
        f"write 'Shape {said.until}s:' above its first row there",
    )
    return None


def _between_marks(
    ledger: Ledger, said: AsPart, statements: Sequence[Statement]
) -> Sequence[Statement] | None:
    """What stands between the other part's two marks, or before or after the one it has."""
    marks = [n for n, s in enumerate(statements) if isinstance(s, Talk) and s.text == MARK]
    begun = bool(marks) and not any(map(_moves, statements[: marks[0]]))
    if len(marks) == 2 and (said.marks == "between" or (said.marks == "to" and begun)):
        return statements[marks[0] + 1 : marks[1]]
    if len(marks) == 1 and said.marks == "to" and not begun:
        return statements[: marks[0]]
    if len(marks) == 1 and said.marks == "from":
        return statements[marks[0] + 1 :]
    ledger.fault(
        said.spot,
        f"is as {said.name} by its marks, and {len(marks) or 'none'} of them stand there",
        "write ** where it begins and where it ends, each at a line's beginning or end",
    )
    return None


def _as_long(
    ledger: Ledger, said: AsPart, span: Span, statements: Sequence[Statement]
) -> Sequence[Statement] | None:
    """The other part's statements up to where it is as long as is said."""
    wanted = span.number.real(ledger.size) * span.unit if span.number else 0.0
    for index, statement in enumerate(statements):
        if not isinstance(statement, (Even, Repeat)) or statement.span.kind != "measures":
            continue
        there = statement.span
        reach = there.number.real(ledger.size) * there.unit if there.number else 0.0
        if there.of == span.of and reach >= wanted:
            return [*statements[:index], replace(statement, span=span)]
    ledger.fault(
        said.spot,
        f"is as {said.name} to a length that no sentence there comes to",
        "write out its rows from where it differs",
    )
    return None


def _shaped(statements: Sequence[Statement], begins: int) -> int:
    """Where a shaping ends: at the next heading, or at what is worked without any."""
    for index in range(begins, len(statements)):
        if isinstance(statements[index], (Heading, Even)):
            return index
    return len(statements)


def _shaping(statements: Sequence[Statement]) -> Sequence[Statement]:
    """A shaping from its heading to its last row; what is worked even or closed after it is not."""
    end = next((n for n, s in enumerate(statements) if n and isinstance(s, Heading)), None)
    within = statements[:end]
    last = [0, *(n for n, s in enumerate(within) if isinstance(s, (RowLine, Repeat, ShapeRows)))]
    return [_uncounted(s) for s in within[: last[-1] + 1] if not isinstance(s, Claim)]


def _uncounted(statement: Statement) -> Statement:
    """Rows without the count after them, which is the other piece's."""
    if isinstance(statement, ShapeRows):
        return replace(statement, claim=None)
    if not isinstance(statement, RowLine):
        return statement
    return replace(statement, row=uncounted(statement.row))


def _reverse(ledger: Ledger, said: AsPart, drafts: Sequence[Draft]) -> None:
    rows = [d for d in drafts if d.kind in ROW_KINDS]
    moved: tuple[Operation, ...] = ()
    for index, draft in enumerate(rows):
        mirrored = _mirrored(draft.operations)
        closing = _closing(drafts, draft) if index + 1 == len(rows) else None
        if mirrored is None or (mirrored[1] and index + 1 == len(rows) and not closing):
            ledger.fault(
                said.spot,
                f"reverses the {said.name}, whose row {index + 1} is not only shaped at its ends",
                "write its rows out",
            )
            return
        mine, later = mirrored
        if laid := sum(o.leaves for o in moved if o.stitch == "co"):
            # what is laid on where a row begins is there one row later, and not worked in it
            shorter = _fewer(mine, laid)
            if shorter is None or (later and index + 1 == len(rows)):
                ledger.fault(
                    said.spot,
                    f"reverses the {said.name}, where stitches are cast on before row {index + 1}",
                    "write its rows out",
                )
                return
            mine = shorter
            draft.before -= laid
        draft.before += sum(o.takes for o in moved)
        draft.operations[:] = [*moved, *mine]
        draft.after += sum(o.takes for o in later)
        draft.after -= sum(o.leaves for o in later if o.stitch == "co")
        moved = later
        if closing and later:
            closing.before += sum(o.takes for o in later)
            closing.operations[:] = merged((*later, *closing.operations))
    ledger.out.reversed.add(frozenset((said.name, ledger.part.lower())))
    if any(o.stitch in {"bo", "co"} for d in rows for o in d.operations):
        ledger.warn(
            said.spot,
            f"binds off or casts on one row later than the {said.name} does, where its rows begin "
            "there",
            "write its rows out where they should come in another one",
        )


def _closing(drafts: Sequence[Draft], last: Draft) -> Draft | None:
    """The step in which all loops are bound off after the last row, if there is one."""
    at = next(i for i, d in enumerate(drafts) if d is last)
    after = [d for d in drafts[at + 1 :] if d.operations]
    if after and after[0].kind is Kind.BIND_OFF and after[0].operations[0].stitch == "bo":
        return after[0]
    return None


def _mirrored(
    operations: Sequence[Operation],
) -> tuple[list[Operation], tuple[Operation, ...]] | None:
    """A row from its other end, and what is bound off in the next one instead; None where it is
    not plain enough for that.
    """
    begun = [o for o in operations[:2] if o.entry.role is Role.REGROUP or o.stitch == "join"]
    if begun and list(operations[: len(begun)]) == begun:
        after = _mirrored(operations[len(begun) :])
        return ([*begun, *after[0]], after[1]) if after else None
    if any(o.at or o.entry.role in _NOT_REVERSED for o in operations):
        return None
    if any(o.stitch in {"bo", "co"} for o in operations[1:]):
        return None
    later = tuple(o for o in operations[:1] if o.stitch in {"bo", "co"})
    rest = operations[len(later) :]
    if later and not any(o.takes for o in rest):
        return list(operations), ()  # all that is left is bound off: it is the same from both ends
    widest = max((o for o in rest if o.entry.plain), key=lambda o: o.times, default=None)
    mine = [_other_hand(o) for o in reversed(rest)]
    if later and later[0].stitch == "bo":
        plain = widest.stitch if widest else "k"
        mine.append(Operation(stitch=plain, times=later[0].takes))
    return mine, later


def _fewer(operations: Sequence[Operation], loops: int) -> list[Operation] | None:
    """A row that works so many loops fewer in its longest plain stretch; None where none is that
    long.
    """
    at = max(
        (i for i, o in enumerate(operations) if o.entry.plain and o.times > loops),
        key=lambda i: operations[i].times,
        default=None,
    )
    if at is None:
        return None
    less = operations[at].model_copy(update={"times": operations[at].times - loops})
    return [*operations[:at], less, *operations[at + 1 :]]


def _other_hand(o: Operation) -> Operation:
    return o.model_copy(update={"stitch": o.entry.mirror or o.stitch})
