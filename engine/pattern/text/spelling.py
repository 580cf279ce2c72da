"""Spells a line as the grammar reads it: the rules stand in `spelling.toml`, with their sources."""

import re
import tomllib
from functools import cache, lru_cache
from importlib.resources import files

from engine.pattern.text.loop_ends import loop_end
from engine.pattern.text.loop_prose import loop_row
from engine.pattern.text.on_needles import on_needles
from engine.pattern.text.onward import going_on
from engine.pattern.text.written import Written

_ORDER = ("dots", "words", "labels", "spans", "steps")
_SPACES = re.compile(r"[ \t]{2,}")
_SPACE_BEFORE = re.compile(r"\s+(?=[,;.)\]])")

Rules = tuple[tuple[re.Pattern[str], str], ...]


@cache
def _rules() -> Rules:
    """The rules, compiled once."""
    text = files("engine.pattern.text").joinpath("spelling.toml").read_text(encoding="utf-8")
    groups = tomllib.loads(text)
    return compiled([rule for name in _ORDER for rule in groups[name]])


def compiled(rules: list[list[str]]) -> Rules:
    """Rules of a table, ready for use."""
    return tuple((re.compile(pattern, re.I), by) for pattern, by in rules)


_UNITS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_COMPOUND = re.compile(
    rf"\b(?:(?P<hundreds>a|one|two|three)\s+hundred(?:\s+and)?[\s-]*)?(?P<tens>{'|'.join(_TENS)})?"
    rf"[\s-]*(?P<units>{'|'.join(_UNITS)})?\b",
    re.I,
)


def _in_figures(match: re.Match[str]) -> str:
    """`twenty-four` is 24, `a hundred and twenty` 120; a word alone stays."""
    hundreds, tens, units = match["hundreds"], match["tens"], match["units"]
    if not hundreds and not (tens and units):
        return match.group()
    value = 100 * (1 if hundreds == "a" else 1 + _UNITS.index(hundreds.lower())) if hundreds else 0
    value += 20 + 10 * _TENS.index(tens.lower()) if tens else 0
    value += 1 + _UNITS.index(units.lower()) if units else 0
    rest = match.group()
    return str(value) + rest[len(rest.rstrip()) :]


_SO_MANY = re.compile(
    r"^(?P<label>(?:rows?|rnds?|rounds?)\s+(?P<first>\d+)\s*-\s*(?P<last>\d+)"
    r"\s*(?:\([^)]*\))?\s*[:.])\s*"
    r"(?:(?:start|beginn?|beg|commenc)(?:e|ing)?\.?\s+with\s+(?:an?\s+)?\w+\s+(?:row|rnd|round),?\s*)?"
    r"(?P<verb>(?:work|cont(?:inue)?|knit|purl)\s+(?:in\s+)?)?"
    r"(?:(?:for\s+)?(?P<count>\d+)\s+(?:rows|rnds|rounds)\s*(?:of\s+|in\s+)?)?"
    r"(?P<how>st st|garter st|seed st|even|straight|without shaping|k\d+, p\d+ rib)?"
    r"(?:\s*,?\s*(?:for\s+)?(?P<after>\d+)\s+(?:rows|rnds|rounds))?"
    r"(?:,?\s*(?:start|beginn?|beg)(?:ing)?\s+with\s+(?:an?\s+)?\w+\s+(?:row|rnd|round))?\s*\.?$",
    re.I,
)
"""Numbered rows that say how many they are, or the fabric: `Rows 6-20: work 15 rows st st`."""
_VERBS = {"knit": "knit", "purl": "purl"}


def _as_fabric(match: re.Match[str]) -> str:
    """`Rows 6-20: work st st`, where the count that is said is theirs; else as it stands."""
    rows = int(match["last"]) - int(match["first"]) + 1
    verb = (match["verb"] or "").strip().split(" ")[0].lower()
    how = match["how"] or ""
    count = match["count"] or match["after"]
    if (count and int(count) != rows) or not (how or verb in _VERBS):
        return match.group()
    if how in {"even", "straight", "without shaping"}:
        how = "" if verb in _VERBS else "even"
    return f"{match['label']} {_VERBS.get(verb, 'work')} {how}".rstrip()


_RIDGES = re.compile(
    r"\b(?:(?P<until>until|till)\s+(?:there\s+are\s+|you\s+have\s+(?:made\s+|worked\s+|knit(?:ted)?\s+)?)?"
    r"|(?:knit|k|work)\s+(?=[^.;]*[.;]?\s*$))(?P<n>\d+)\s+(?:garter\s+(?:st(?:itch)?\s+)?)?ridges(?!\s*\()"
    r"(?:\s+(?:are|have\s+been)\s+(?:made|worked|completed|knit(?:ted)?|done))?"
    r"(?:\s+(?:of|in)\s+garter\s+st(?:itch)?)?(?:\s+on\s+(?:the\s+)?(?:RS|right\s+side))?",
    re.I,
)
"""A ridge of garter stitch is two rows (common practice, no source)."""


def _in_rows(match: re.Match[str]) -> str:
    rows = 2 * int(match["n"])
    return f"until {rows} rows worked" if match["until"] else f"knit {rows} rows"


_LAST_ROWS = re.compile(
    r"^(?P<label>(?:rows?|rnds?|rounds?)\s+(?P<first>\d+)\s*(?:-|to|and|&|,)\s*\d+\s*:)\s*rep(?:eat)?\.?\s+"
    r"(?:the\s+)?(?:last|previous|prev)\s+(?P<n>\d|two|three|four)\s+(?:rows|rnds|rounds)\b",
    re.I,
)
"""`Rows 15-20: rep last 2 rows` are as rows 13 and 14."""


def _numbered(match: re.Match[str]) -> str:
    said = match["n"].lower()
    count = int(said) if said.isdigit() else 1 + _UNITS.index(said)
    first = int(match["first"])
    if not 0 < count < first:
        return match.group()
    return f"{match['label']} rep rows {first - count}-{first - 1}"


_AS_BEFORE = re.compile(
    r"^(?P<label>(?:row|rnd|round)\s+(?P<n>\d+)\s*(?:\([^)]*\)\s*)?:)\s*(?:work\s+)?(?:(?:the\s+)?same\s+)?as\s+"
    r"(?:for\s+)?(?:the\s+)?(?:(?:previous|prev|preceding|last)\s+(?:row|rnd|round)|(?:row|rnd|round)\s+before)\b|"
    r"^(?P<label2>(?:rows?|rnds?|rounds?)\s+(?P<n2>\d+)(?:\s*-\s*\d+)?\s*(?:\([^)]*\)\s*)?[:.])\s*"
    r"(?:the\s+|do\s+the\s+|work\s+the\s+)?same(?:\s+again|\s+as\s+before)?\s*\.?$",
    re.I,
)
"""`Row 6: as previous row` is as row 5, and so is `Row 6: same`."""


def _as_before(match: re.Match[str]) -> str:
    number, label = int(match["n"] or match["n2"]), match["label"] or match["label2"]
    return f"{label} as row {number - 1}" if number > 1 else match.group()


_PICKS = re.compile(r"^(?:(?:with|using)\b[^,]*,\s*)?pick\s+up\b", re.I)
_EVENLY = re.compile(
    r"\s+evenly(?:\s+spaced)?(?:\s+(?:along|across|around|down|up|over)\s+(?:the\s+)?(?:[a-z]+[\s-]+){0,3}?(?:edges?|sides?|neckline|neck|armhole|opening))?",
    re.I,
)
_PICKED = re.compile(
    r"(?:\s*,\s*(?:and\s+)?|\s+and\s+)(?=\d+(?:\s*[(\[][\d\s,:;–-]+[)\]])?\s*(?:sts?\s+|stitches\s+|loops\s+|more\s+)*"
    r"(?:along|from|across|around|down|up|at|over)\b)",
    re.I,
)
"""`pick up 16 sts along side, 24 along the cast-on edge`"""


_EVERY_TWO = re.compile(
    r"\b(?:knit|k)\s+(?:together\s+)?every\s+(?P<one>\d+)(?:st|nd|rd|th)\s+and\s+(?P<two>\d+)(?:st|nd|rd|th)\s+"
    r"(?:sts?|stitch(?:es)?)(?:\s+together|\s+tog)?",
    re.I,
)
"""`knit every 11th and 12th st together` is *k10, k2tog*, as often as it comes out."""


def _every_two(match: re.Match[str]) -> str:
    one, two = int(match["one"]), int(match["two"])
    if two != one + 1 or one < 2 or "tog" not in match.group().lower():
        return match.group()
    return f"*k{one - 1}, k2tog; rep from * to end"


@lru_cache(maxsize=4096)
def respelled(line: Written) -> Written:
    """The same line in the grammar's spelling; what the rules do not know stays as it is.

    Kept, since a line is spelled again in each way that it may be cut.
    """
    if "needle" in line.text.lower() or "ndl" in line.text.lower() or "N1" in line.text:
        line = on_needles(line)
    line = loop_row(loop_end(line)).sub(_EVERY_TWO, _every_two)
    line = line.sub(_RIDGES, _in_rows).sub(_LAST_ROWS, _numbered).sub(_AS_BEFORE, _as_before)
    if _PICKS.match(line.text):
        line = line.sub(_PICKED, ", pick up ").sub(_EVENLY, "")
    line = going_on(applied(going_on(line.sub(_COMPOUND, _in_figures)), _rules()))
    return line.sub(_SO_MANY, _as_fabric) if _SO_MANY.match(line.text) else line


def applied(line: Written, rules: Rules) -> Written:
    """A line with rules applied to it in order."""
    for pattern, by in rules:
        if pattern.search(line.text):
            line = line.sub(pattern, by)
    return line.sub(_SPACES, " ").sub(_SPACE_BEFORE, "").strip()
