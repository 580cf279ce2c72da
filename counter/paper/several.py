"""A pattern for several sizes as a sheet has it: numbers by size, and nothing told twice.

What every tenth row asks for is told once for all, and what a second sleeve has in common with the
first one is told there.
"""

import re
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from engine.pattern.write import row_lines
from models.frozen import Frozen
from models.script import Kind, RowScript, Step
from models.text import Words

_TOLD_AGAIN = 8
"""As many lines in a row that another part has are not told again."""
_GOING_ON = "before going on"


class Written(Frozen):
    """A line of the pattern for several sizes at once, or a note below one."""

    text: Words
    note: bool
    sizes: Words = ""
    """Whom it is for, where not for all sizes: `Size M`."""


class Together(Frozen):
    """A part with numbers by size: `24 (28, 32)`."""

    name: Words
    lines: tuple[Written, ...]


def _a_look(step: Step) -> bool:
    """Whether it is one of the looks that come again and again."""
    return step.kind is Kind.BACK_CHECK and _GOING_ON in step.note


def looks_told(script: RowScript) -> str:
    """What is to be looked at again and again, for the whole sheet; empty for nothing."""
    note = next((step.note for step in script.steps if _a_look(step)), "")
    look = note.replace(f" {_GOING_ON}", "")
    return f"After every tenth row of a part {look[:1].lower()}{look[1:]}" if note else ""


def several_rows(scripts: Sequence[RowScript]) -> list[str]:
    """The lines of these sizes, but for the looks that `looks_told` tells.

    Raises Refusal for scripts that are not sizes of one pattern.
    """
    return row_lines(
        [
            script.model_copy(update={"steps": tuple(s for s in script.steps if not _a_look(s))})
            for script in scripts
        ]
    )


def several(rows: Sequence[str]) -> tuple[Together, ...]:
    """Written lines by their parts."""
    parts: list[Together] = []
    for line in filter(None, rows):
        if line.startswith("Part: "):
            parts.append(Together(name=line.removeprefix("Part: "), lines=()))
            continue
        note = re.match(r"Note( \(.*?\))?: ", line)
        # A dash stands for a look without a note, and lengths are for whoever reads by machine.
        if (note and line.endswith(": -")) or line.startswith("Length: "):
            continue
        said = line
        if note and (not note[1] or _whom(note[1].strip(" ()")) == _sizes_of(parts[-1])):
            said = line[note.end() :]  # whom it is for stands above
        only = re.match(r"For (sizes? .*?): ", said)
        one = Written(
            text=said[only.end() :] if only else said,
            note=bool(note),
            sizes=f"{only[1][:1].upper()}{only[1][1:]}" if only else "",
        )
        lines = list(parts[-1].lines)
        if note and note[1] and one.text == said == line:
            at = _place(lines, _whom(note[1].strip(" ()")))
            if at is not None:  # below its own line, not below another size's
                one = one.model_copy(update={"text": line[note.end() :]})
                lines.insert(at, one)
                parts[-1] = parts[-1].model_copy(update={"lines": tuple(lines)})
                continue
        parts[-1] = parts[-1].model_copy(update={"lines": (*lines, one)})
    parts = [part.model_copy(update={"lines": tuple(_in_turn(part.lines))}) for part in parts]
    found: list[Together] = []
    for part in parts:
        like = next((one for one in parts[: len(found)] if _other_side(one.name, part.name)), None)
        found.append(_shorter(part, like) if like else part)
    return tuple(found)


def _place(lines: Sequence[Written], whom: str) -> int | None:
    """Where a note for these sizes goes: after their last line, where one stands among the last
    that are not for all."""
    for at in range(len(lines) - 1, -1, -1):
        if lines[at].note:
            continue
        if lines[at].sizes == whom:
            after = at + 1
            while after < len(lines) and lines[after].note:
                after += 1
            return after
        if not lines[at].sizes:
            return None
    return None


_ONE = re.compile(r"(Rnd|Row) (\d+): ([^()]*?)\.")
_AGAIN = re.compile(r"Rep (?:rnds|rows) (\d+)–(\d+) (?:(\d+) times|once) more\.")


def _in_turn(lines: Sequence[Written]) -> Iterator[Written]:
    """Two rows and that they are repeated, as one line: `Rnds 3–10: “k to end” and “…” in turn`."""
    at = 0
    while at < len(lines):
        three = lines[at : at + 3]
        told = _told_in_turn(three) if len(three) == 3 else ""
        if told:
            yield three[0].model_copy(update={"text": told})
            at += 3
        else:
            yield lines[at]
            at += 1


def _told_in_turn(three: Sequence[Written]) -> str:
    if any(one.note or one.sizes != three[0].sizes for one in three):
        return ""
    one, other = (_ONE.fullmatch(line.text) for line in three[:2])
    again = _AGAIN.fullmatch(three[2].text)
    if not (one and other and again) or (one[2], other[2]) != (again[1], again[2]):
        return ""
    last = int(other[2]) + 2 * int(again[3] or 1)
    first, second = (_small(match[3]) for match in (one, other))
    return f"{one[1]}s {one[2]}–{last}: “{first}” and “{second}” in turn."


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


def _whom(sizes: str) -> str:
    return f"Size{'s' if ', ' in sizes else ''} {sizes}"


def _sizes_of(part: Together) -> str:
    """Whom the last line is for."""
    return next((line.sizes for line in reversed(part.lines) if not line.note), "")


def _sideless(text: str) -> str:
    return re.sub(r"\b(left|right)\b", "left", text)


def _other_side(one: str, other: str) -> bool:
    return one != other and _sideless(one) == _sideless(other)


def _shorter(part: Together, like: Together) -> Together:
    """A part without what one of the other side has, too; where to find that stands instead."""
    mine = [(_sideless(one.text), one.note, one.sizes) for one in part.lines]
    other = [(_sideless(one.text), one.note, one.sizes) for one in like.lines]
    lines: list[Written] = []
    at = 0
    for block in SequenceMatcher(None, other, mine, autojunk=False).get_matching_blocks():
        lines += part.lines[at : block.b]
        same = list(part.lines[block.b : block.b + block.size])
        at = block.b + block.size
        while same and same[0].note:  # a note stays with its own line
            lines.append(same.pop(0))
        rows = [one for one in same if not one.note]
        if len(same) < _TOLD_AGAIN or len(rows) < 2:
            lines += same
            continue
        begins, ends = (f"“{_head(one)}”" for one in (rows[0], rows[-1]))
        told = f"From {begins} to {ends} as for the {like.name}."
        lines.append(Written(text=told, note=False))
    return part.model_copy(update={"lines": tuple(lines)})


def _head(line: Written) -> str:
    """`Rnd 4, size M`: where a line is found."""
    head = line.text.partition(":")[0].rstrip(".")
    return f"{head}, {line.sizes[:1].lower()}{line.sizes[1:]}" if line.sizes else head
