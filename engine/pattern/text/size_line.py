"""Reads a list of sizes as patterns print it: `S (M, L)`, `To fit chest 56 [61: 66] cm`."""

import re

_LIST = re.compile(
    r"^(?P<first>[^(\[{]{1,40}?)\s*(?P<rest>(?:[(\[{][^)\]}]{1,200}[)\]}]\s*(?:[,;:]\s*)?)+)(?P<after>.*)$"
)
_SPLIT = re.compile(r"\s*[,;:|]\s*|\s*/\s*(?=\D)|\s+(?:and|or|&)\s+")
_NO_SLASH = re.compile(r"\s*[,;:|]\s*|\s+(?:and|or|&)\s+")
_UNIT = re.compile(
    r"\s*(?:-\s*)?(?:cms?\.?|ins?\.?|inch(?:es)?|\"|''|in\.?\s+chest)(?:\s+(?:chest|bust|head))?\s*\.?$",
    re.I,
)
_LEAD = re.compile(
    r"^(?:(?:women'?s|men'?s|ladies'|children'?s|adults'|kids'|sizes?|finished|bust|chest|head|age[sd]?|"
    r"to\s+fit|approx(?:imately)?|about|hips?|foot|circumference|are|is|for|us|uk|shown\s+in)\b[\s:,]*)+(?=\S)",
    re.I,
)
_NUMBER = re.compile(r"^\d+(?:[.½¼¾]|\s?[½¼¾]|\s\d/\d)*\d*$")
_WORD = re.compile(
    r"^(?:[2-6]?x{0,4}[sml]|small|medium|large|x-?\s?(?:small|large)|xx-?large|extra[\s-](?:small|large)|newborn|preemie|premature|"
    r"baby|toddler|child|youth|teen|adult|kid|infant|petite|women|men|woman|man|lady|one\s+size|nb|os|"
    r"\d+(?:st|nd|rd|th)|\d+(?:\s?[-–/]\s?\d+)?\s*(?:years?|yrs?|months?|mths?|mos?|mois|ans|monate|jahre|meses|años|y|m|t)?|[1-6]x|"
    r"\d+(?:[-–]\d+)?\s*(?:lbs?|kg|oz)|short|long|narrow|wide|mini|regular|tall|first|second|third|smallest|largest)"
    r"(?:[\s/-]+(?:[sml]|xs|xl|small|medium|large|adult|child|woman|man|women|men|teen|toddler|\d+(?:-\d+)?|years?|months?|mos?))*$",
    re.I,
)
_TABLE_UNIT = re.compile(r"\s*(?:years?|yrs?|months?|cms?|ins?|inch(?:es)?|\")\s*\.?$", re.I)
_TABLE = re.compile(r"^\d+(?:\s?[½¼¾])?(?:\s+\d+(?:\s?[½¼¾])?)+$")
_HYPHENS = re.compile(r"(?<=[(\[])\s*\d+(?:-\d+){2,}(?=\s*[)\]])")
_CHANGES = re.compile(
    r"(?:directions|instructions|figures)\b.*?\bfor\s+(?:the\s+)?(?:sizes?\s+)?"
    r"(?P<first>[\w. -]+?(?:\s*\([^)]*\))?)[.;,]\s*"
    r"(?:with\s+)?changes\s+for\s+(?:sizes?\s+)?(?P<rest>.+?)\s+(?:are\s+)?in\s+(?:parenthes[ie]s|brackets)",
    re.I,
)
_LARGER = re.compile(
    r"\bfor\s+(?:the\s+)?(?:smallest\s+)?(?:sizes?\s+)?(?P<first>[\w. -]+?)[,;]?\s*"
    r"(?:with\s+)?(?:the\s+)?(?:larger|other|remaining)\s+sizes?\s*\((?P<rest>[^)]*,[^)]*)\)",
    re.I,
)
"""`for size 12 months with larger sizes (18 months, 24 months) in parentheses`."""
_OTHER_UNIT = re.compile(
    r"(?<=\d)\s*(?:cms?|ins?|inch(?:es)?)?\.?\s*\(\s*\d[\d.½¼¾]*(?:\s+\d[\d.½¼¾]*)+\s*(?:cms?|ins?|inch(?:es)?|\")"
    r"\.?\s*\)$",
    re.I,
)
"""`56 61 66 cm (22 24 26 in)`: the same sizes once more."""
_DASHES = re.compile(r"\s+[–—-]\s+")
"""`Small - Medium - Large`, `3-6 mths - 6-12 mths`: a dash between blanks."""
_TIGHT = re.compile(r"\d+(?:[–-]\d+){2,}")
NAME_AT_MOST = 28


def sizes_told(text: str) -> tuple[str, ...] | None:
    """The sizes of `directions are for size 2; changes for sizes 4 and 6 are in parentheses`."""
    changes = _CHANGES.search(text) or _LARGER.search(text)
    if changes is None:
        return None
    names = [changes["first"], *re.split(r",\s*|\s+and\s+", changes["rest"])]
    cleaned = [_name(re.sub(r"\s*\([^)]*\)", "", n)) for n in names if n.strip()]
    return tuple(cleaned) if len(set(cleaned)) == len(cleaned) > 1 else None


def sizes_in(text: str) -> tuple[str, ...] | None:
    """The names of several sizes, in order; None where it is no list of sizes."""
    if _CHANGES.search(text) or _LARGER.search(text):
        return sizes_told(text)
    text = re.split(r"(?<=[a-z)\]\"])\.\s+(?=[A-Z])", text.strip())[0].rstrip(" .")
    text = _HYPHENS.sub(lambda m: m.group().replace("-", ","), text)
    text = _OTHER_UNIT.sub("", text)
    listed = _LIST.match(text)
    if listed:
        first = listed["first"]
        if before := _all_told(first, listed["rest"]):
            return before  # "S / M / L (6 / 12 / 24 months)": the bracket says it again
        inside = re.sub(r"[)\]}]\s*[,;:]?\s*[(\[{]", ",", listed["rest"])
        inside = re.sub(r"\s+[-–]\s+", ", ", inside)
        apart = _NO_SLASH if "/" in first else _SPLIT
        if _MEASURED.fullmatch(inside.strip(" ()[]{},;:")) and not _NUMBER.match(first):
            return None  # "0-3 months (chest 41 cm / 16 in)" is one size
        names = [first, *apart.split(inside.strip(" ()[]{},;:"))]
        after = listed["after"].strip()
        if len(names) == 2 and re.search(r"\b(?:cms?|in|ins|inch(?:es)?|mm)\b|\"", names[1]):
            return None  # the same length in another unit
        if (
            after
            and not _UNIT.fullmatch(after.split(",")[0].split("(")[0].strip())
            and "=" in after
        ):
            return None
    else:
        bare = _TABLE_UNIT.sub("", text)
        names = bare.split() if _TABLE.match(bare) else _SPLIT.split(text)
        if len(names) < 2:
            names = re.split(r"[–-]", bare) if _TIGHT.fullmatch(bare) else _DASHES.split(bare)
            if len(names) < 3:  # of two, a dash is a range: `6 - 12 months`
                return None
    cleaned = [_name(n) for n in names if n.strip()]
    if len(cleaned) < 2 or any(not n or len(n) > NAME_AT_MOST for n in cleaned):
        return None
    if len(set(cleaned)) < len(cleaned):
        return None
    if any(map(is_measure, cleaned)):
        return None
    known = [bool(_NUMBER.match(n) or _WORD.match(n)) for n in cleaned]
    if not listed and not all(known):
        return None
    if listed and sum(known) * 2 < len(known):
        return None
    return tuple(cleaned)


_APART = re.compile(r"\s*[,;]\s*|\s+[/|]\s+")


def _all_told(first: str, rest: str) -> tuple[str, ...] | None:
    """Sizes that all stand before a bracket, where that says as many ages or lengths of them."""
    names = [_name(n) for n in _APART.split(_LEAD.sub("", first))]
    if len(names) < 2 and first.count("/") > 1:
        names = [_name(n) for n in first.split("/")]
    inside = re.split(r"\s*[,;:/|]\s*", rest.strip(" ()[]{},;:"))
    letters = not any(c.isdigit() for n in names for c in n)
    lengths = letters and all(n[:1].isdigit() for n in inside)
    if not (lengths or _LENGTHS.search(rest)) or len(names) < 2 or len(inside) != len(names):
        return None
    known = all(_NUMBER.match(n) or _WORD.match(n) for n in names)
    return tuple(names) if known and len(set(names)) == len(names) else None


_LENGTHS = re.compile(r"\d\s*(?:cms?|ins?|inch(?:es)?|\")\W*$", re.I)


_MEASURED = re.compile(
    r"(?:(?:to|fits?|finished|actual|approx\w*\.?|about|chest|bust|head|foot|hand|hips?|waist|length|"
    r"circumference)\s*)*\d[\d.½¼¾ -]*\s*(?:cms?|ins?|inch(?:es)?|\"|mm)\.?"
    r"(?:\s*[/,]\s*\d[\d.½¼¾ -]*\s*(?:cms?|ins?|inch(?:es)?|\"|mm)\.?)?"
    r"(?:\s+(?:chest|bust|head|foot|hand|around|circumference|long|length))*",
    re.I,
)
"""A measurement, perhaps in another unit as well: no name of a further size."""
_MEASURE = re.compile(
    r"\d\s*(?:cms?|ins?|inch(?:es)?|\"|mm)?\s+(?:around|tall|wide|deep|high|across|in\s+\w+|square|unstretched|width|"
    r"length|height|circumference)\b",
    re.I,
)
"""`60 cm around` is a measurement of the one size there is."""
_LETTERS = re.compile(r"[2-6]?x{0,4}[sml]|small|medium|large|x-?(?:small|large)", re.I)


def bare_sizes(text: str) -> tuple[str, ...] | None:
    """The sizes of a line that says nothing else and not even that: `S/M/L`, `XS (S, M)`."""
    names = tuple(n for n in re.split(r"[\s,;/()\[\]|-]+", text.strip(" .:")) if n)
    if len(names) > 1 and len(set(names)) == len(names) and all(map(_LETTERS.fullmatch, names)):
        return names
    return None


def is_measure(name: str) -> bool:
    """Whether what is called a size is a measurement: `60 cm around`."""
    return bool(_MEASURE.search(name))


def _name(text: str) -> str:
    text = " ".join(text.strip(" -–—").split())
    shorter = _LEAD.sub("", text)
    text = shorter or text
    bare = _UNIT.sub("", text)
    return bare if bare and _NUMBER.match(bare) else text
