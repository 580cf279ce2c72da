"""The sums that a maker asks for in a few words, answered in sentences.

`taper 36 over 140`, `evenly 8 in 115`, `crown 96 in 8 wedges`, `yoke 200 at 20 x 28`: the command
line and the app's page both come here.
"""

import re
from collections.abc import Callable, Sequence
from itertools import groupby

from engine.base.plural import noun, some
from engine.base.refusal import Refusal
from engine.craft.shaping import crown, taper, yoke
from engine.craft.spacing import decrease_evenly, increase_evenly
from engine.plan.planning import read_gauge
from engine.words.grammar import numbers
from models.frozen import Frozen
from models.spacing import Spread
from models.sums import Crown, Evenly, Taper, Yoke

_LOOPS = r"\s*(?:loops?|stitch(?:es)?|sts?)?"
_ROWS = r"\s*(?:rows?|rounds?|rnds?)?"
_SHAPED = r"\s*(?:(?:in|de)creas(?:es?|ed|ing)|incs?|decs?)?"
_TAPER = re.compile(
    rf"(?:(?:from\s+)?(?P<first>\d+){_LOOPS}\s*(?:to|→|->)\s*(?P<last>\d+)|(?P<loops>\d+))"
    rf"{_LOOPS}{_SHAPED}"
    rf"(?P<pairs>,?\s*(?:in pairs|at (?:each|both) ends?))?\s*(?:over|in)\s*(?P<rows>\d+){_ROWS}"
    r"(?P<again>,?\s*(?:in pairs|at (?:each|both) ends?))?"
    r"(?P<every>,?\s*(?:on )?every (?:other|second|2nd)(?: row| round)?)?"
)
_EVENLY = re.compile(
    r"(?P<verb>(?:add|increase|inc|make|take|decrease|dec)\s+)?"
    rf"(?P<changes>\d+)\s*(?P<noun>increases?|incs?|decreases?|decs?)?{_LOOPS}\s*(?:in|into|to|from|over|on|across|of)\s*(?P<loops>\d+){_LOOPS}"
    r"(?P<closed>,?\s*(?:in|of) (?:the|a) round)?"
)
_CROWN = re.compile(
    rf"(?P<loops>\d+){_LOOPS}(?:,?\s*(?:in|by|with|of)?\s*(?P<wedges>\d+)(?:\s*wedges?)?)?"
    r"(?P<quick>,?\s*every round)?"
)
_YOKE = re.compile(rf"(?P<body>\d++){_LOOPS}(?:,?\s*(?:at|,)?\s*(?P<gauge>\d.*?[x×].+))?")


class Answer(Frozen):
    """What a sum comes to, in lines and as values."""

    lines: tuple[str, ...]
    found: Taper | Evenly | Crown | Yoke


class Sum(Frozen):
    """A sum that can be asked for."""

    name: str
    what: str
    example: str
    """Its words, as they stand behind the name."""


SUMS = (
    Sum(name="taper", what="spread shaping over the rows of a slope", example="36 over 140"),
    Sum(name="evenly", what="spread loops evenly along a row or a round", example="8 in 115"),
    Sum(name="crown", what="narrow a hat to its top in wedges", example="96 in 8 wedges"),
    Sum(name="yoke", what="counts of a seamless round yoke", example="200 at 20 x 28"),
)


def asked(said: str) -> Answer:
    """The answer to a line such as `taper 36 over 140`. Raises Refusal where it is not understood.

    Loops are whole numbers, a gauge is loops x rows per 10 cm, lengths are told in cm.
    """
    name, _, words = said.strip().lower().partition(" ")
    if name not in _READ:
        known = "; ".join(f"{one.name} {one.example}" for one in SUMS)
        raise Refusal(f"The sum {name!r} is not known: ask, for instance, {known}.")
    form, answer = _READ[name]
    words = words.strip().rstrip(".")
    match = form.fullmatch(words) or form.fullmatch(_in_figures(words))
    if match is None:
        example = next(one.example for one in SUMS if one.name == name)
        broken = _BROKEN.search(words)
        why = f": loops and rows are whole numbers, and {broken[0]} is none" if broken else ""
        raise Refusal(f"{words!r} is not understood{why}: write it as in '{name} {example}'.")
    return answer(match)


_BROKEN = re.compile(r"-\d+|\d+[.,/]\d+")
_MOST_WORDS = 6
"""Of one number: "three hundred and forty two"."""


def _in_figures(words: str) -> str:
    """With the numbers in words, `thirty-six` or `three hundred and ten`, written in figures."""
    left = re.sub(r"(?<=[a-z])-(?=[a-z])", " ", words).split()
    found = []
    while left:
        longest = range(min(_MOST_WORDS, len(left)), 0, -1)
        many = next((n for n in longest if tuple(left[:n]) in numbers()), 0)
        found.append(str(numbers()[tuple(left[:many])]) if many else left[0])
        left = left[many or 1 :]
    return " ".join(found)


def _taper(match: re.Match[str]) -> Answer:
    loops = int(match["loops"] or abs(int(match["first"] or 0) - int(match["last"] or 0)))
    each = 2 if match["pairs"] or match["again"] else 1
    found = taper(loops, int(match["rows"]), each=each, every=2 if match["every"] else 1)
    many = sorted({gap: found.gaps.count(gap) for gap in found.gaps}.items())
    groups = " and ".join(f"{_every(gap)} {_times(times)}" for gap, times in many)
    sums = " + ".join(f"{times} × {gap}" for gap, times in many)
    lines = [
        f"Shape {_loops(each)}{' (one at each end)' if each == 2 else ''} {groups}: "
        f"{sums} = {sum(found.gaps)} rows."
    ]
    if found.after:
        lines.append(f"Then {found.after} plain {noun(found.after, 'row')}.")
    lines.append(f"The shaped rows, mixed evenly: {_listed(found.at)}.")
    return Answer(lines=tuple(lines), found=found)


def _evenly(match: re.Match[str]) -> Answer:
    changes, loops, closed = int(match["changes"]), int(match["loops"]), bool(match["closed"])
    verb = (match["verb"] or match["noun"] or "").strip().rstrip("s")
    more = verb not in ("take", "decrease", "dec")
    fewer = verb not in ("add", "increase", "inc", "make")
    if fewer and more and 2 * changes > loops:
        fewer = changes > loops  # then the refusal of a decrease tells it
    up = increase_evenly(loops, changes, closed=closed) if more else None
    down = decrease_evenly(loops, changes, closed=closed) if fewer else None
    lines = []
    if up:
        lines.append(f"Increase {changes} in {loops}, to {up.loops_after}: {_along(up, closed)}.")
    if down:
        lines.append(
            f"Decrease {changes} in {loops}, to {down.loops_after} (a decrease takes 2 loops and "
            f"leaves 1): {_along(down, closed)}."
        )
    return Answer(lines=tuple(lines), found=Evenly(increase=up, decrease=down, closed=closed))


def _along(spread: Spread, closed: bool) -> str:
    """A row in words: plain stretches and changes, like ones told together."""
    what = "decrease" if spread.takes else "increase"
    before, last = spread.plain[: spread.changes], spread.plain[spread.changes :]
    told = []
    for plain, run in groupby(before):
        times = len(list(run))
        one = f"work {plain}, {what}" if plain else what
        told.append(one if times == 1 else f"({one}) {_times(times)}")
    if last and last[0]:
        told.append(f"work {last[0]}")
    return "; ".join(told) + ("; the round begins again" if closed else "")


def _crown(match: re.Match[str]) -> Answer:
    wedges = int(match["wedges"]) if match["wedges"] else None
    found = crown(int(match["loops"]), wedges, quick=bool(match["quick"]))
    lines = [
        f"{found.wedges} wedges of {_loops(found.wedge)}; {some(len(found.rounds), 'round')}.",
        f"First round: (work {found.wedge - 2}, work 2 together) {_times(found.wedges)}"
        if found.wedge > 2
        else f"First round: work 2 together, {_times(found.wedges)}",
    ]
    before = found.loops
    for number, live in enumerate(found.rounds, start=1):
        how = "plain" if live == before else "one fewer in each wedge"
        lines.append(f"Round {number}: {how}, {live}")
        before = live
    lines.append(f"Draw the yarn through the last {_loops(found.left)} and fasten it.")
    return Answer(lines=tuple(lines), found=found)


def _yoke(match: re.Match[str]) -> Answer:
    gauge = read_gauge(match["gauge"]) if match["gauge"] else None
    found = yoke(int(match["body"]), gauge)
    deep = f", {found.depth_cm:.1f} cm" if found.depth_cm is not None else ""
    lines = [
        f"Body {found.body}; cuff {found.cuff} (20 %), top of the sleeve {found.sleeve} (33 %).",
        f"At each underarm {_loops(found.underarm)} of the body and as many of the sleeve rest.",
        f"Join body and sleeves: {found.joined} (133 %).",
    ]
    if gauge is None:
        lines.append("Say the gauge too ('yoke 200 at 20 x 28') for the yoke's rounds and depth.")
    else:
        lines.append(f"The yoke is {found.rounds} rounds deep{deep}.")
    quarters = ("half", "three quarters", "all")
    for part, one in zip(quarters, found.narrowing, strict=True):
        where = f"After round {one.round - 1}" if gauge else f"At {part} of the depth"
        lines.append(f"{where}: decrease evenly from {one.before} to {one.after}.")
    lines.append(f"Neck: {found.neck} (40 %).")
    return Answer(lines=tuple(lines), found=found)


_READ: dict[str, tuple[re.Pattern[str], Callable[[re.Match[str]], Answer]]] = {
    "taper": (_TAPER, _taper),
    "evenly": (_EVENLY, _evenly),
    "crown": (_CROWN, _crown),
    "yoke": (_YOKE, _yoke),
}


def _loops(count: int) -> str:
    return some(count, "loop")


def _times(count: int) -> str:
    return "once" if count == 1 else "twice" if count == 2 else f"{count} times"


def _every(gap: int) -> str:
    if gap <= 2:
        return "every row" if gap == 1 else "every other row"
    tail = "th" if gap % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(gap % 10, "th")
    return f"every {gap}{tail} row"


def _listed(numbers: Sequence[int]) -> str:
    return ", ".join(map(str, numbers))
