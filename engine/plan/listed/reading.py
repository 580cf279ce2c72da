"""Reads a list of numbers: `foundation 42, front 9 to 5 over 8, bind 4, back 18, sleeve 25 to 15`.

Each clause is about one thing, told by a word of its own, and goes on until the next such word.
Every number in it must have a place and every word a meaning: what has none is refused by name,
since a number left out would make another garment.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from engine.base.numbers import CM_PER_INCH
from engine.base.refusal import Refusal

LENGTH_AT_MOST = 4_000
SIZES_AT_MOST = 20

_LIST = r"\d+(?:\s*[(\[]\s*\d+(?:\s*[,;:/]\s*\d+)*\s*[)\]]|(?:\s*/\s*\d+)+(?!\d))?"
_NUMBER = re.compile(
    rf"(?P<before>[a-z]+\s+|[–—→>-]\s*)?(?P<list>{_LIST})(?P<part>[.,]\d+)?\s*"
    r"(?P<unit>rows?|rnds?|rounds?|cm|inch(?:es)?|in(?=\s*(?:$|[,;.)]))|\"|loops?|sts?|stitch(?:es)?|times|x(?!\w))?",
    re.I,
)
_NO_COUNT = re.compile(
    r"(?<!\S)[-−+]\d[^\s,;]*"
    r"|\d+(?:\s*[¼-¾⅐-⅞]|\s+\d+\s*[/⁄]\s*\d+|[.,]?\d*\s*['′’][^\s,;]*)"
)
"""A sign, a fraction or feet: no number of loops or rows, and not to be cut down to one."""
_APART = re.compile(r"\n|\s/\s+(?=[a-z])|[;•|]|\.(?=\s|$)|,", re.I)
_ABOUT: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (name, re.compile(words, re.I))
    for name, words in (
        ("sizes", r"^\s*sizes?\b"),
        ("title", r"^\s*(?:title|name|pattern)\s*:"),
        ("gauge", r"^\s*(?:gauge|tension)\b"),
        ("sleeve", r"\bsleeves?\b"),
        ("edging", r"\b(?:edging|border|bands?|trim)\b"),
        ("bind", r"\b(?:bind(?:ing)?|bound|bo|cast(?:ing)?[\s-]off|underarms?)\b"),
        ("front", r"\bfronts?\b"),
        ("back", r"\bback\b(?!\s+neck)"),
        ("foundation", r"\b(?:foundation|cast(?:ing)?[\s-]on|co|lay\s+out|count\s+out)\b"),
        ("body", r"\b(?:body|height|lower\s+part)\b"),
        ("armhole", r"\barmholes?\b"),
        ("cuff", r"\bcuffs?\b"),
        ("shoulder", r"\bshoulders?\b"),
    )
)
_AND = re.compile(
    r"\band\b(?=\s+(?:the\s+|each\s+|both\s+)*(?:sleeve|edging|border|bind|front|back|foundation|body|armhole))",
    re.I,
)
_NEXT = re.compile(
    r"(?<=[\d)])\s+(?=(?:sleeve|edging|border|bind|front|back|foundation|body|armhole)s?:?\s*\d)",
    re.I,
)
_STEP = re.compile(
    r"\b(?:on|in)?\s*(?:every|each)\s+(?:(other|alternate|alt|2nd|second)|(\w+))\s+(?:row|rnd|round)s?",
    re.I,
)
_PAIR = re.compile(r"\b(?:2|two|both)\s+(?=(?:fronts|sleeves|armholes|edges|sides)\b)", re.I)
_OVER = {"over", "in", "for", "during", "within", "across", "after"}
_BY = {"by", "decrease", "dec", "decreasing", "minus", "less", "take", "lose"}
_FILLERS = frozenset(
    {
        "cm",
        "inch",
        "inches",
        "cuffs",
        "a",
        "after",
        "all",
        "along",
        "an",
        "and",
        "armhole",
        "armholes",
        "around",
        "as",
        "at",
        "back",
        "band",
        "bands",
        "bind",
        "binding",
        "bo",
        "body",
        "border",
        "both",
        "bound",
        "by",
        "cast",
        "casting",
        "co",
        "continue",
        "count",
        "cuff",
        "dec",
        "decrease",
        "decreases",
        "decreasing",
        "do",
        "down",
        "each",
        "edge",
        "edges",
        "edging",
        "even",
        "fold",
        "for",
        "foundation",
        "from",
        "front",
        "fronts",
        "go",
        "height",
        "high",
        "in",
        "it",
        "its",
        "keep",
        "knit",
        "lay",
        "leave",
        "left",
        "length",
        "less",
        "like",
        "long",
        "loop",
        "loops",
        "lose",
        "lower",
        "make",
        "measures",
        "minus",
        "neck",
        "necks",
        "of",
        "off",
        "on",
        "once",
        "one",
        "out",
        "over",
        "own",
        "part",
        "per",
        "pick",
        "plain",
        "pull",
        "remain",
        "remaining",
        "right",
        "rnd",
        "rnds",
        "round",
        "rounds",
        "row",
        "rows",
        "same",
        "set",
        "shape",
        "shaping",
        "shoulder",
        "shoulders",
        "side",
        "sides",
        "sleeve",
        "sleeves",
        "st",
        "start",
        "starting",
        "stitch",
        "stitches",
        "straight",
        "sts",
        "take",
        "tall",
        "the",
        "then",
        "times",
        "to",
        "total",
        "trim",
        "underarm",
        "underarms",
        "until",
        "up",
        "v",
        "vneck",
        "want",
        "wide",
        "wish",
        "with",
        "work",
        "worked",
        "x",
        "you",
        "your",
    }
)


@dataclass(frozen=True)
class Said:
    """A number of the list, by size, and where it stands."""

    values: tuple[float, ...]
    line: int
    column: int

    def of(self, size: int) -> float:
        """For one size; a single number is every size's."""
        return self.values[size] if len(self.values) > 1 else self.values[0]


@dataclass
class LoopList:
    """What a list says, by what it is: `front`, `front to`, `front rows`, `body cm`, …"""

    numbers: dict[str, Said] = field(default_factory=dict)
    sizes: tuple[str, ...] = ()
    title: str = ""
    gauge: str = ""

    def get(self, name: str, size: int) -> int | None:
        """A number of loops or rows for one size; None where the list does not say it."""
        said = self.numbers.get(name)
        return int(said.of(size)) if said else None

    def length(self, part: str, size: int) -> float | None:
        """A length of a part for one size, in cm; None where the list does not say it."""
        for unit, cm in (("cm", 1.0), ("inches", CM_PER_INCH)):
            if said := self.numbers.get(f"{part} {unit}"):
                return said.of(size) * cm
        return None


@dataclass(frozen=True)
class _Clause:
    text: str
    start: int


def read_list(text: str) -> LoopList:
    """The numbers of a list. Raises Refusal for a word or a number that has no place in it."""
    if len(text) > LENGTH_AT_MOST:
        raise Refusal(f"A list of {len(text)} characters is no list of numbers: give it alone.")
    found = LoopList()
    about = ""
    for clause in _clauses(text):
        named = next((name for name, words in _ABOUT if words.search(clause.text)), "")
        if named in {"sizes", "title", "gauge"}:
            _heading(found, named, clause)
            about = named
            continue
        if (
            not named
            and about == "sizes"
            and not re.search(r"\d{2}|\d\s*(?:to|loops)", clause.text)
        ):
            found.sizes += _names(clause.text)
            continue
        about = named or about
        if not about or about in {"title", "gauge"}:
            if not found.numbers and not found.title and not re.search(r"\d", clause.text):
                found.title = clause.text.strip(" .:–—-")
                continue
            raise Refusal(
                f"“{clause.text.strip()}” does not say what it is of: begin with foundation, "
                "front, bind, back, sleeve, body, armhole or edging."
            )
        _numbers(found, about, clause, text)
    _sized(found)
    return found


def _clauses(text: str) -> Iterator[_Clause]:
    """Stretches between commas, stops and line ends, but for those in brackets."""
    depth = start = at = 0
    while at < len(text):
        depth += (text[at] in "([") - (text[at] in ")]")
        cut = None if depth > 0 else _apart(text, at)
        if cut and not (
            text[at] == "." and text[at - 1 : at].isdigit() and text[at + 1 : at + 2].isdigit()
        ):
            if text[start:at].strip():
                yield _Clause(text[start:at], start)
            start = cut.end()
            at = max(cut.end(), at + 1)
            if text[at - 1] == "\n":
                depth = 0
            continue
        at += 1
    if text[start:].strip():
        yield _Clause(text[start:], start)


def _apart(text: str, at: int) -> re.Match[str] | None:
    """Where the next clause begins: behind a comma, or where another thing is named."""
    return _APART.match(text, at) or _AND.match(text, at) or _NEXT.match(text, at)


def _names(text: str) -> tuple[str, ...]:
    return tuple(name for name in re.split(r"[\s,;:()/\[\]]+", text) if name)


def _heading(found: LoopList, named: str, clause: _Clause) -> None:
    rest = re.sub(r"^\s*\w+\s*:?\s*", "", clause.text).strip()
    if named == "sizes":
        found.sizes = _names(rest)
    elif named == "title":
        found.title = rest
    else:
        found.gauge = rest


def _numbers(found: LoopList, about: str, clause: _Clause, text: str) -> None:
    said = _PAIR.sub(lambda m: " " * len(m.group()), clause.text)
    for step in _STEP.finditer(said):
        if not step[1]:
            raise Refusal(
                f"“{clause.text.strip()}”: these garments are shaped in every other row only; "
                "say to how many and over how many rows."
            )
    said = _STEP.sub(lambda m: " " * len(m.group()), said)
    for word in re.findall(r"[a-z]+", said.lower()):
        if word not in _FILLERS:
            raise Refusal(
                f"“{word}” in “{clause.text.strip()}” is nothing that such a list tells: it has "
                "foundation, front, bind, back, sleeve, body, armhole and edging."
            )
    for match in _NO_COUNT.finditer(said):
        if match.group()[0] != "-" or not re.search(r"\d\s*$", said[: match.start()]):
            raise Refusal(
                f"“{clause.text.strip()}”: “{match.group()}” is no whole number of loops or rows."
            )
    for match in _NUMBER.finditer(said):
        place = _place(about, match, found)
        if place not in _PLACES:
            raise Refusal(
                f"“{clause.text.strip()}”: what {match.group().strip()} is of is not plain; write "
                "it as in 'front 9 to 5 over 8, bind 4, back 18, sleeve 25 to 15'."
            )
        if match["part"] and not place.endswith(("cm", "inches")):
            raise Refusal(
                f"“{clause.text.strip()}”: {match['list']}{match['part']} is no whole number."
            )
        if place in found.numbers:
            raise Refusal(
                f"“{clause.text.strip()}” gives a second number for the {place}: say it once."
            )
        at = clause.start + match.start("list")
        line = text.count("\n", 0, at) + 1
        whole = re.findall(r"\d+", match["list"])
        values = tuple(float(n) for n in (*whole[:-1], whole[-1] + (match["part"] or "")))
        found.numbers[place] = Said(values, line, at - text.rfind("\n", 0, at))


_PLACES = {
    *("foundation", "front", "bind", "back", "sleeve"),
    *("front to", "front by", "sleeve to", "sleeve by"),
    *("front rows", "back rows", "armhole rows", "sleeve rows", "body rows", "edging rows"),
    *("body cm", "body inches", "sleeve cm", "sleeve inches"),
}


def _place(about: str, match: re.Match[str], found: LoopList) -> str:
    """What a number is of, by the words on either side of it."""
    place = _plain_place(about, match, found)
    # "cast on 42, work 20 rows": the rows above the foundation are the body's
    same = {"cuff": "sleeve to", "shoulder": "front to"}
    return same.get(place, place.replace("foundation ", "body "))


def _plain_place(about: str, match: re.Match[str], found: LoopList) -> str:
    unit, before = (match["unit"] or "").lower(), (match["before"] or "").strip().lower()
    if unit in {"cm", '"'} or unit.startswith("in"):
        inches = unit != "cm"
        return f"{about} {'inches' if inches else 'cm'}"
    if unit.startswith("r"):
        return f"{about} rows"
    if unit in {"times", "x"} or before in _BY:
        return f"{about} by"
    if before in _OVER and before != "in" and about not in {"bind", "foundation", "edging"}:
        return f"{about} rows"
    if before in {"to", "until"} or (
        before in {"-", "–", "—", "→", ">"} and about in found.numbers
    ):
        return f"{about} to"
    return f"{about} rows" if about in {"body", "armhole", "edging"} else about


def _sized(found: LoopList) -> None:
    """Lists must be as long as there are sizes."""
    lengths = {len(s.values) for s in found.numbers.values()} - {1}
    if len(lengths) > 1:
        raise Refusal(
            f"Some numbers are for {min(lengths)} sizes and others for {max(lengths)}: give as "
            "many everywhere, or one for all."
        )
    count = next(iter(lengths), 1)
    if found.sizes and count > 1 and len(found.sizes) != count:
        raise Refusal(
            f"{len(found.sizes)} sizes are named, and the numbers are for {count}: name {count}."
        )
    if count > SIZES_AT_MOST:
        raise Refusal(
            f"A list for {count} sizes is more than {SIZES_AT_MOST}: give fewer at a time."
        )
    if not found.sizes:
        found.sizes = tuple(f"size {n}" for n in range(1, count + 1)) if count > 1 else ("",)
    elif count == 1:
        found.sizes = found.sizes[:1] if len(found.sizes) == 1 else found.sizes
