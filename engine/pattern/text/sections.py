"""What a heading says about the lines below it; the words stand in `sections.toml`."""

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

_TRAILING = re.compile(r"[\s.:;,–—=*_-]+$")
_LEADING = re.compile(r"^[\s*_\d.)(]*(?:step\s+\d+\W*)?", re.I)
_BRACKETS = re.compile(r"\s*[(\[](?:[^()\[\]]|[(\[][^()\[\]]*[)\]])*[)\]]\s*")
_MAKE = re.compile(
    r"\s*[,:–—-]*\s*\(?(?:make|knit|work|cut|both|worked|all)\s+(?:\d+|one|two|three|four|five|six|both|alike|"
    r"the\s+same|in\s+one\s+piece|in\s+the\s+round|flat|alike|pieces?|\s)+\)?\s*$",
    re.I,
)
_INLINE = re.compile(
    r"^([^:.–—-]{2,34}?(?:-[A-Za-z]+)?)\s*(?::|\.\s?[—–-]+|\s[—–-]+|[—–])\s*(?=\S)"
)
_OF_SIZES = re.compile(r"^([A-Za-z][A-Za-z /]{1,22}?)\s{2,}(?=\d+(?:[½¼¾]|\.\d)?\s{2,}\d)")
"""The first cell of a table of sizes."""
_NO_COLON = re.compile(
    r"^(materials|tension|gauge|abbreviations|measurements|to fit(?: (?:bust|chest|head|age))?|"
    r"actual size|sizes?|"
    r"needles|yarn|you will need)\.?\s+(?=[\dA-Z(\[‘'\"]|alt|beg)",
    re.I,
)
_STITCH_NAMED = re.compile(
    r"^((?:[A-Za-z][A-Za-z' -]{2,28}?)?(?:pattern|stitch|rib|lace|mesh))\s*(?:[:.–—-]+|\()\s*\(?"
    r"(?:(?:a\s+)?multiple|(?:the\s+)?(?:number|amount)\s+of\s+(?:sts|stitches)|divisible|(?:worked\s+)?over\s+an?\b|"
    r"\d+[\s-]*(?:sts?|stitch(?:es)?)\b(?!\s+(?:rem|inc|dec|on\b|at\b|left))(?=[^.;]{0,30}$)).*$",
    re.I,
)
"""`Hole pattern: number of stitches divisible by 4`: its rows stand below it."""
_SHAPED = re.compile(
    r"(?:shap(?:e|ing)\s.*\b(?:armholes?|shoulders?|necks?|neckline|raglans?|cap|top|sides?|waist|sleeves?|back)"
    r"|.*\b(?:armholes?|shoulders?|neck|raglan|cap|side|waist|sleeve)\s+shaping)$"
)
"""Shaping within a piece begins no piece of its own."""
WORDS_AT_MOST = 6


@dataclass(frozen=True, slots=True)
class Headed:
    """A heading: what kind of section it begins, its name, where what it says begins."""

    kind: str
    """materials, gauge, sizes, abbreviations, notes, patterns, work, finishing or piece."""
    name: str
    rest: int
    """Offset of the text after it; the line's length where it stands alone."""


@cache
def _tables() -> tuple[dict[str, str], frozenset[str], frozenset[str]]:
    text = files("engine.pattern.text").joinpath("sections.toml").read_text(encoding="utf-8")
    tables = {
        kind: [w.strip() for w in words.replace("\n", " ").split("|")]
        for kind, words in tomllib.loads(text).items()
    }
    pieces, around = frozenset(tables.pop("pieces")), frozenset(tables.pop("piece_words"))
    return {word: kind for kind, words in tables.items() for word in words}, pieces, around


def headed(text: str, *, marked: bool = False) -> Headed | None:
    """The heading that a line is or begins with; `marked`: the page says that it is one."""
    if _SHAPED.match(_plain(text)):
        return None
    if chart_name(text):
        return Headed("patterns", chart_name(text), len(text))
    alone = _kind(text)
    if alone:
        return Headed(alone, _name(text), len(text))
    inline = _INLINE.match(text)
    if inline:
        kind = _kind(inline[1])
        if kind:
            return Headed(kind, _name(inline[1]), inline.end())
    stitch = _STITCH_NAMED.match(text)
    if stitch:
        return Headed("patterns", _name(stitch[1]), stitch.end())
    bare = _OF_SIZES.match(text)
    if bare and _kind(bare[1]) == "sizes":
        return Headed("sizes", _name(bare[1]), bare.end())
    bare = _NO_COLON.match(text)
    if bare:
        return Headed(_kind(bare[1]) or "notes", _name(bare[1]), bare.end())
    if (marked or _looks_like_one(text)) and len(text.split()) <= WORDS_AT_MOST:
        return Headed("piece", _name(text), len(text))
    return None


_CHART = re.compile(
    r"^[\s*•_=-]*(?P<name>chart\s+(?:[A-Za-z]|\d{1,2}|[IVX]+)|[A-Za-z]+(?:\s[A-Za-z]+)?\s+chart)"
    r"\s*(?:$|[:.=_*–—-]+\s*(?!(?:row|rnd|round|r)\b)[^:;]{0,60}$|[(\[][^)\]]*[)\]]\s*[:.=_*–—-]*$)",
    re.I,
)
_NO_CHART = {
    "the",
    "see",
    "follow",
    "work",
    "this",
    "next",
    "size",
    "sizing",
    "measurement",
    "from",
}


def chart_name(text: str) -> str:
    """The name of a chart whose rows are written below, `Chart A (6 sts)`; empty for another."""
    found = _CHART.match(text)
    if found is None or _NO_CHART & set(found["name"].lower().split()):
        return ""
    return " ".join(found["name"].split()).capitalize() if text.isupper() else found["name"]


def _plain(text: str) -> str:
    text = _BRACKETS.sub(" ", _MAKE.sub("", text))
    text = _TRAILING.sub("", _LEADING.sub("", text))
    return " ".join(text.lower().replace("’", "'").split())


def _name(text: str) -> str:
    named = _TRAILING.sub("", _LEADING.sub("", _MAKE.sub("", _BRACKETS.sub(" ", text))))
    named = " ".join(named.split())
    return named.capitalize() if named.isupper() else named


def _kind(text: str) -> str | None:
    if len(text) > 60:
        return None
    plain = _plain(text)
    if not plain:
        return None
    kinds, pieces, around = _tables()
    if plain in kinds:
        return kinds[plain]
    if plain in pieces:
        return "piece"
    words = plain.replace("/", " ").replace("-", " ").split()
    named = [w for w in words if w in pieces]
    if named and len(words) <= WORDS_AT_MOST and all(w in pieces or w in around for w in words):
        return "piece"
    return None


def _looks_like_one(text: str) -> bool:
    """A short line in capitals, or one that ends in a colon: nothing follows it on its line."""
    letters = [c for c in text if c.isalpha()]
    if len(letters) < 3 or any(c.isdigit() for c in text):
        return False
    return text.isupper() or (text.endswith(":") and "," not in text)
