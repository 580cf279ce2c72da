"""`Repeat Section 2 once more`: what stands below its heading, worked again."""

import re
from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.numbered_steps import unnumbered
from engine.pattern.text.numbers import Number
from engine.pattern.text.row_items import Claim, uncounted
from engine.pattern.text.sorting import WORK, Sorted
from engine.pattern.text.statements import Again, Heading, RowLine, Statement

_SECTION = re.compile(
    r"^(?:(?:now|then)\s+)?(?:repeat|rep|work)\s+(?:the\s+)?(?:whole\s+|entire\s+)?"
    r"(?:(?:\d+|two|three|four|six|eight|ten|twelve)\s+(?:rows|rnds|rounds)\s+of\s+(?:the\s+)?)?"
    r"(?P<name>[a-z][\w' -]*?)\s+"
    r"(?:(?P<once>once|twice)(?:\s+(?:more|again))?|"
    r"(?P<n>\d+|two|three|four|five|six)\s+(?P<more>more\s+)?times"
    r"(?P<all>\s+in\s+(?:all|total)|\s+total)?(?:\s+more)?)"
    r"(?:\s*[-–(.,;:]+\s*\(?(?P<count>\d+)\s*(?:sts|stitches|loops)\b.*)?\s*[.!)]*$",
    re.I,
)
_SEVERAL = re.compile(r"(?:the\s+)?(\w+)s\s+(\w+)\s*(?:and|&)\s*(\w+)$", re.I)
_TIMES = {"once": 1, "twice": 2, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6}


def with_sections(told: Sequence[Sorted]) -> list[Sorted]:
    """The lines, with those that repeat a section by its heading's name as what stands below it."""
    sections: dict[str, list[Statement]] = {}
    name = ""
    out: list[Sorted] = []
    for line in told:
        heads = [s for s in line.said if isinstance(s, Heading) and s.kind.startswith("section")]
        if heads:
            name = _short(heads[0].text or line.words.text)
            sections[name] = []
        found = _SECTION.match(line.words.text) if line.kind == "unread" else None
        names = _named(found["name"]) if found else []
        meant = [s for one in names for s in sections.get(one, [])]
        if found and all(sections.get(one) for one in names):
            said: list[Statement] = [_more(found, meant, line)]
            if found["count"]:
                spot = line.words.spot(found.start("count"))
                said.append(Claim(Number((float(found["count"]),), spot, found["count"]), spot))
            line = replace(line, kind="sentence", said=tuple(said), problem=None)  # noqa: PLW2901
        elif line.kind == "unread":
            sections.pop(name, None)  # what it says is not known whole
            name = ""
        if name:
            sections[name].extend(s for s in line.said if isinstance(s, WORK))
        out.append(line)
    return out


def _named(said: str) -> list[str]:
    """`sections A and B` are section a and section b."""
    both = _SEVERAL.match(said.strip())
    return [_short(f"{both[1]} {n}") for n in both.group(2, 3)] if both else [_short(said)]


def _short(name: str) -> str:
    """`Section 2: Eyelets` and `the section 2` are one."""
    name = re.split(r"[:(–—]", name.lower())[0]
    return " ".join(w for w in name.split() if w not in {"the", "rows", "pattern"})


def _more(found: re.Match[str], meant: Sequence[Statement], line: Sorted) -> Again:
    said = (found["once"] or found["n"]).lower()
    times = int(said) if said.isdigit() else _TIMES[said]
    spot = line.words.spot(0)
    number = Number((float(times),), spot, str(times))
    again = [_unclaimed(unnumbered(s)) for s in meant if not isinstance(s, Claim)]
    return Again(tuple(again), number, not found["all"], spot)


def _unclaimed(statement: Statement) -> Statement:
    """A row without the loops it says it leaves: they were the first time's."""
    if not isinstance(statement, RowLine):
        return statement
    return replace(statement, row=uncounted(statement.row))
