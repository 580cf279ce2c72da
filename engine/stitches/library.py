"""The stitch patterns that there are, read from their files."""

import re
from functools import cache
from importlib.resources import files

from engine.base.refusal import Refusal
from models.frozen import Frozen
from models.gauge import Gauge
from models.script import Craft

_HEAD = re.compile(r"(Title|Crafts|Source|About): (.+)")
_MULTIPLE = re.compile(
    r"multiple of (\d{1,3})(?:\s*(?:sts?|stitch(?:es)?|loops?)?,?\s*(?:\+|plus)\s*(\d{1,3}))?", re.I
)
_NTH = r"(?:\d+(?:st|nd|rd|th)|first|second|third|fourth)"
_ROW = re.compile(
    rf"^[^\S\n]*(?:(?P<kind>rows?|rnds?|rounds?|r) ?\d|{_NTH} (?P<after>row|rnd|round)\b|1\. )",
    re.I | re.M,
)
"""Where a row begins, in the ways in which the reader of patterns takes it."""
_WORKED = re.compile(r"\b(?:rows?|rnds?|rounds?)\b[^:]*:", re.I)
"""A row without a number."""
_WRONG_FIRST = re.compile(
    r"^\s*(?:r(?:ows?)? ?1(?!\d)|(?:1st|first) row|1\. )[^:\n]*\b(?:WS|wrong[ -]side)\b",
    re.I | re.M,
)
_LONGEST = 4000
"""Letters of a stitch pattern of her own."""
SWATCH_CM = 15
"""A swatch is at least so wide and high, so that its inner 10 cm can be measured (common practice,
no source)."""


class StitchPattern(Frozen):
    """One stitch pattern, as its file tells it."""

    name: str
    title: str
    multiple: int
    """Loops of one repeat."""
    extra: int
    """Loops beyond whole repeats that make both edges alike; in rounds there are none."""
    crafts: tuple[Craft, ...]
    source: str
    about: str
    text: str
    """Its rows in the written notation, as worked flat on needles, or as rounds."""

    @property
    def as_rounds(self) -> bool:
        """Whether it is written in rounds, each on the right side."""
        return _written(self.text) == {True}

    @property
    def wrong_side_first(self) -> bool:
        """Whether its first row is one of the wrong side."""
        return _WRONG_FIRST.search(self.text) is not None

    def repeats(self, loops: int, *, in_the_round: bool = False) -> int:
        """Whole repeats that go into so many loops."""
        return max(0, loops - (0 if in_the_round else self.extra)) // self.multiple

    def nearest(self, loops: float, *, in_the_round: bool = False) -> int:
        """The number of loops nearest to `loops` into which whole repeats go, at least one."""
        extra = 0 if in_the_round else self.extra
        return extra + self.multiple * max(1, round((loops - extra) / self.multiple))

    def swatch(self, gauge: Gauge) -> int:
        """Loops of a swatch in this pattern: whole repeats, 15 cm wide or more at the gauge."""
        wanted = SWATCH_CM * gauge.loops_per_cm - self.extra
        return self.extra + self.multiple * max(1, -int(-wanted // self.multiple))


def read_stitch(name: str, text: str) -> StitchPattern:
    """A stitch pattern as its text has it: its multiple, and its rows as worked flat on needles.

    What else its head may tell is title, crafts, source and a line about it. Raises Refusal for a
    text without a multiple, or without rows.
    """
    if len(text) > _LONGEST:
        raise Refusal(f"A stitch pattern of {len(text)} letters is too long: at most {_LONGEST}.")
    first = _ROW.search(text)
    head, rows = (text[: first.start()], text[first.start() :]) if first else (text, "")
    told = {found[1].lower(): found[2].strip() for found in _HEAD.finditer(head)}
    multiple = _MULTIPLE.search(head)
    if multiple is None or not int(multiple[1]) or not rows.strip():
        raise Refusal(
            f"The stitch pattern {name[:40]!r} is not understood: say what it is a multiple of, "
            "as in 'Multiple of 6 + 2', and below that its rows, each with its number."
        )
    for line in head.splitlines():
        if _WORKED.search(line) and not _HEAD.match(line.strip()):
            raise Refusal(
                f"{line.strip()[:40]!r} stands before the first row of the stitch pattern: give it "
                "a number, or leave it out."
            )
    if len(_written(rows)) > 1:
        raise Refusal(
            f"The stitch pattern {name[:40]!r} has rows and rounds: write all of them as one or "
            "the other."
        )
    crafts = told.get("crafts", ", ".join(Craft))
    return StitchPattern(
        name=name,
        title=told.get("title", name[:1].upper() + name[1:]),
        multiple=int(multiple[1]),
        extra=int(multiple[2] or 0),
        crafts=tuple(craft for craft in Craft if craft.value in crafts),
        source=told.get("source", "her own"),
        about=told.get("about", ""),
        text=rows.strip(),
    )


def _written(rows: str) -> set[bool]:
    """Whether its lines are rounds: of each, in a set."""
    kinds = (label["kind"] or label["after"] or "row" for label in _ROW.finditer(rows))
    return {kind.lower().startswith(("rn", "rou")) for kind in kinds}


@cache
def _all() -> dict[str, StitchPattern]:
    folder = files("engine.stitches").joinpath("patterns")
    found = {entry.name.removesuffix(".txt"): entry for entry in folder.iterdir()}
    return {
        name: read_stitch(name, found[name].read_text(encoding="utf-8")) for name in sorted(found)
    }


NAMES: tuple[str, ...] = tuple(_all())
"""All of them, by the alphabet."""


def stitch_pattern(name: str, craft: Craft | None = None) -> StitchPattern:
    """The pattern of that name, in any case. Raises Refusal for another, or for the wrong craft."""
    found = _all().get(name.strip().casefold().replace(" ", "-"))
    if found is None:
        raise Refusal(f"There is no stitch pattern {name!r}; they are {', '.join(NAMES)}.")
    if craft is not None and craft not in found.crafts:
        fitting = ", ".join(n for n, one in _all().items() if craft in one.crafts)
        raise Refusal(
            f"{found.title} is worked with {found.crafts[0].value}, not with {craft.value}: "
            f"choose one of {fitting}."
        )
    return found
