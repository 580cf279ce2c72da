"""What stands before the rows of a pattern that others are to work from.

It follows from the scripts alone: what to have at hand, what to know how to do, how hard it is,
how to choose a size, what is abbreviated, and what can hurt.
"""

import re
from collections.abc import Iterable, Sequence

from engine.base.plural import some
from engine.craft.sizes import BODY_SIZES, CHILD_SIZES, EASE_CM
from engine.pattern.writing.all_sizes import in_all_sizes
from engine.pattern.writing.words import Line, num
from engine.script.twice import one_of_two
from engine.script.wording import loop_word
from engine.script.yarns import by_colour
from models.frozen import Frozen
from models.script import Craft, Kind, Operation, RowScript, Step
from models.stitch import Role

CAUTIONS = (
    "The same movement for hours can hurt: rest and stretch your hands every half hour, and stop "
    "when they ache or go numb. If it stays, ask a doctor or a therapist.",
    "Mind the scissors: cut away from your hands and keep them out of the reach of children.",
    "Loose loops and long ends can catch small fingers and necks: keep them, and the work, away "
    "from infants. For anything made for an infant follow qualified advice on safe textiles.",
)
DYE_LOTS = (
    "Buy all balls of one dye lot; where two lots must do, work two rows from the one and two "
    "from the other in turn: both wait at the same edge, and no line shows."
)
"""Common practice, no source."""
ENDS = "Wherever the yarn is cut or joined leave 2 loops of it as an end"
"""As the loops are counted (common practice, no source)."""

_LEVELS = (
    (2, "basic", "basic stitches, with basic increases and decreases"),
    (4, "easy", "simple stitch patterns, colour work or shaping"),
    (6, "intermediate", "involved stitch patterns, colour work or shaping"),
    (99, "complex", "several techniques and stitches at the same time"),
)
"""Source: Craft Yarn Council, "Project Levels": basic, easy, intermediate, complex (from memory).
Which make is which is judged by what it asks for (`_WEIGHTS`; common practice, no source)."""
_WEIGHTS = {
    "working in the round": 1,
    "decreasing": 1,
    "increasing": 1,
    "knit and purl in one row": 1,
    "picking up along an edge": 1,
    "leaving loops to rest and taking them up again": 1,
    "leaving stitches to rest and taking them up again": 1,
    "closing two edges together": 1,
    "changing the colour": 1,
    "crossing stitches over one another": 3,
    "short rows": 3,
}


class Front(Frozen):
    """The front page in words."""

    materials: tuple[str, ...]
    tools: tuple[str, ...]
    techniques: tuple[str, ...]
    difficulty: str
    level: str
    fit: str
    """How to choose a size; empty where there is none to choose."""
    abbreviations: tuple[tuple[str, str], ...]
    ends: str
    """How much of the yarn an end takes; empty where that is as the maker likes."""
    cautions: tuple[str, ...] = CAUTIONS


def front_of(scripts: Sequence[RowScript]) -> Front:
    """The front page of these scripts, one a size of the same pattern."""
    first, steps = scripts[0], [step for script in scripts for step in script.steps]
    techniques = tuple(_techniques(steps, first.craft))
    weight = sum(_WEIGHTS.get(name, 0) for name in techniques)
    level, why = next((name, why) for most, name, why in _LEVELS if weight < most)
    return Front(
        materials=_materials(scripts),
        tools=tuple(_tools(scripts)),
        techniques=techniques,
        difficulty=f"{level} ({why})",
        level=level,
        fit=_fit(first),
        abbreviations=abbreviations(scripts),
        ends=ENDS if first.craft is Craft.LOOP else "",
    )


def _materials(scripts: Sequence[RowScript]) -> tuple[str, ...]:
    craft, word = scripts[0].craft, loop_word(scripts[0].craft)
    loops = in_all_sizes([Line((num(script.yarn_loops),)) for script in scripts])
    yarn = "loop yarn" if craft is Craft.LOOP else "yarn"
    shares = [by_colour(script) for script in scripts]
    by_size = {c: [Line((num(share.get(c, 0)),)) for share in shares] for c in shares[0]}
    told = ", ".join(f"{in_all_sizes(lines)} in {colour}" for colour, lines in by_size.items())
    each = f" ({told})" if told else ""
    one = one_of_two(scripts[0])
    often = f"for one {one}, and as many again for the second" if one else "in all"
    return (
        f"{yarn} that gives the gauge: {loops} {word} are worked {often}{each}, the ends "
        "counted; have a tenth more",
    )


def _tools(scripts: Sequence[RowScript]) -> Iterable[str]:
    script, steps = scripts[0], [step for script in scripts for step in script.steps]
    operations = [o for step in steps for o in step.operations]
    around = any(step.kind is Kind.ROUND for step in steps)
    if script.craft is Craft.NEEDLES:
        also = ", and for the rounds a short round needle or a set" if around else ""
        yield f"needles in the size that gives the gauge{also}"
        yield "a blunt sewing needle"
    if markers := _markers(operations):
        yield some(markers, "marker")
    rests = {o.at for o in operations if o.stitch in {"rest", "rest next"}}
    if rests:
        yield "scrap yarn or holders for what rests"
    yield "a tape measure"
    yield "scissors"


def _markers(operations: Iterable[Operation]) -> int:
    """How many hang at once, at most."""
    hang, most = 0, 0
    for o in operations:
        hang += {"pm": o.times, "rm": -o.times}.get(o.stitch, 0)
        most = max(most, hang)
    return most


def _techniques(steps: Sequence[Step], craft: Craft) -> Iterable[str]:
    operations = {o.stitch: o.entry for step in steps for o in step.operations}
    roles = {entry.role for entry in operations.values()}
    kinds = {step.kind for step in steps}
    mixed = any({"k", "p"} <= {o.stitch for o in step.operations} for step in steps)
    found = {
        "casting on": "co" in operations,
        "knit": "k" in operations,
        "purl": "p" in operations,
        "knit and purl in one row": mixed,
        "working in the round": Kind.ROUND in kinds,
        "decreasing": Role.DECREASE in roles,
        "increasing": Role.INCREASE in roles,
        "crossing stitches over one another": Role.CROSS in roles,
        "short rows": Role.TURN in roles,
        "picking up along an edge": any(entry.along for entry in operations.values()),
        f"leaving {loop_word(craft)} to rest and taking them up again": "resume" in operations,
        "closing two edges together": Kind.SEAM in kinds,
        "changing the colour": len({step.colour for step in steps if step.colour}) > 1,
        "binding off": "bo" in operations,
    }
    return (name for name, used in found.items() if used)


def _fit(script: RowScript) -> str:
    there = script.finished_cm
    told = next((how for name, how in _CHOSEN_BY.items() if name in there), "")
    if told or not script.size:
        return told
    if "around" in there and "height" in there:
        return (
            "choose the size whose finished around is 3 to 5 cm less than your head is around, so "
            "that it holds"
        )
    if "around" not in there or "body height" not in there:
        return ""
    whose = "your bust" if script.size in BODY_SIZES else "your chest"
    whose = "the child's chest" if script.size in CHILD_SIZES else whose
    eases = ", ".join(f"{name} about {cm:g} cm" for name, cm in EASE_CM.items())
    never = "; the back is never narrower than the cross back that it is made for"
    return (
        f"choose the size whose finished around is {whose} and the ease that you like "
        f"({eases}){never if 'back width' in there else ''}"
    )


_CHOSEN_BY = {
    "foot around": "choose the size whose finished foot around is about a tenth less than your "
    "foot at its ball, and whose foot length is yours, so that it sits without folds",
    "hand around": "choose the size whose finished hand around is about 1 cm more than your hand "
    "around the palm, without the thumb",
}
"""By which finished measure a size is chosen, and what it is beside the body's; the sock's share is
`engine.designs.socks.SNUG`, the mitten's ease common practice, no source."""


def abbreviations(scripts: Sequence[RowScript]) -> tuple[tuple[str, str], ...]:
    """Those of the stitches that these scripts use, and what they stand for."""
    steps = [step for script in scripts for step in script.steps]
    used = {o.stitch: o.entry for step in steps for o in step.operations}
    found = [(k, e.name) for k, e in used.items() if not e.handling and e.name != k]
    if any(step.side for step in steps):
        found += [("RS", "right side"), ("WS", "wrong side")]
    return tuple(sorted(found, key=lambda pair: pair[0].casefold()))


def lettered(names: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Finished measures with the letters that they have in the drawing: A, B, C …"""
    return tuple((chr(ord("A") + at), name) for at, name in enumerate(names))


_SPELT = (("rep", "repeat"), ("rnd", "round"), ("rnds", "rounds"))
"""What the notation abbreviates beside the stitches."""


_NO_ROW = ("Part:", "Length:", "Note")
"""How lines begin in which nothing is abbreviated."""


def written_in(
    rows: Sequence[str], stitches: Iterable[tuple[str, str]]
) -> tuple[tuple[str, str], ...]:
    """What written lines abbreviate: of these stitches, and beside them."""
    told = [re.sub('"[^"]*"', "", row) for row in rows if not row.startswith(_NO_ROW)]
    whole = " ".join(told)
    worked = " ".join(re.sub("^(?:[^:*]*: )+", "", row) for row in told)
    found = [p for p in stitches if _stands_in(p[0], whole if p[0] in _SIDES else worked)]
    return (*found, *(pair for pair in _SPELT if _stands_in(pair[0], whole)))


_SIDES = {"RS", "WS"}


def _stands_in(short: str, text: str) -> bool:
    """Whether all words of an abbreviation do."""
    return all(
        re.search(rf"(?<![a-z0-9/]){re.escape(word)}(?![a-z])", text, re.IGNORECASE)
        for word in short.split()
    )


def lines_of_front(front: Front, measures: Iterable[str], rows: Sequence[str]) -> Iterable[str]:
    """The front page as headed lines of a written pattern; what it says is read over.

    `rows` are the lines that follow: their abbreviations are told.
    """
    yield f"Materials: {'; '.join(front.materials)}."
    yield f"Tools: {', '.join(front.tools)}."
    yield f"Techniques: {', '.join(front.techniques)}."
    yield f"Difficulty: {front.difficulty}."
    if front.fit:
        yield f"Notes: {front.fit[:1].upper()}{front.fit[1:]}."
    yield f"Notes: {DYE_LOTS}"
    if front.ends:
        yield f"Notes: {front.ends}."
    letters = ", ".join(f"{letter} {name}" for letter, name in lettered(measures))
    if letters:
        yield f"Notes: Letters in the drawing: {letters}."
    meant = "; ".join(f"{short} = {name}" for short, name in written_in(rows, front.abbreviations))
    if meant:
        yield f"Abbreviations: {meant}."
    yield f"Safety: {' '.join(front.cautions)}"
