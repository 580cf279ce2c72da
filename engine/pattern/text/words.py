"""From the words of a pattern to the stitches of the table, and from its numerals to numbers."""

import re

from engine.pattern.text.numbers import Number, Spot
from engine.pattern.text.row_items import Parts
from models.stitch import SEVERAL, SPELT, STITCHES, crossing

_FRACTIONS = {
    "½": 1 / 2,
    "¼": 1 / 4,
    "¾": 3 / 4,
    "⅓": 1 / 3,
    "⅔": 2 / 3,
    "⅛": 1 / 8,
    "⅜": 3 / 8,
    "⅝": 5 / 8,
    "⅞": 7 / 8,
}
_ONE_TO_TEN = "one two three four five six seven eight nine ten"
_COUNTING = tuple(
    f"zero {_ONE_TO_TEN} eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen "
    "nineteen twenty".split()
)
_TENS = ["thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_TIMES_WORDS = {"once": 1, "twice": 2, "thrice": 3}
_DIGITS_AT_MOST = 6


def one_word(said: str) -> Parts:
    """The stitches of an abbreviation such as `ssk`, `sl m` or `make 1 left`."""
    key = re.sub(r"[\s.,&/-]", "", said.lower())
    key = re.sub(r"^make(one|1)", "m1", key)
    if key.startswith(("pull", "pick", "lift")):
        return (("p strand" if re.search(r"and(p|purl)(it)?tog", key) else "k strand", 1),)
    key = re.sub(r"^([kp])1?fandb", r"\1fb", key)
    key = re.sub(r"^([kp])1f", r"\1f", key)
    key = re.sub(r"^s2k1?po?2?$", "s2kp", key)
    key = re.sub(r"^(m1[lrp]?)(eft|ight|urlwise|wise|w|knitwise|kwise|st|stitch)$", r"\1", key)
    if key.endswith(("bindoff", "bo")) and "needle" in key:
        key = "3nbo"
    if key in SEVERAL:
        return SEVERAL[key]
    if key in SPELT:
        return ((SPELT[key], 1),)
    if key.startswith("makedouble") or key.startswith("makeadouble"):
        return (("mds", 1),)
    if turned := re.match(r"([kp])(nit|url)?1?(the)?(ds|double|wrap)", key):
        return ((f"{turned[1]} {'wrap' if turned[4] == 'wrap' else 'ds'}", 1),)
    if key.startswith("pass"):
        several = key.removeprefix("pass").removeprefix("the").startswith(("2", "two", "both"))
        return SEVERAL["p2sso"] if several else (("psso", 1),)
    if "marker" in key:
        return (("rm" if key.startswith("remove") else "sm", 1),)
    if "front" in key or "fb" in key:
        return (("pfb" if key.startswith("p") else "kfb", 1),)
    raise ValueError(f"{said!r} is in no list of abbreviations")  # the grammar knows more than we


def cable(said: str) -> Parts:
    """`2/2 RC`, `C6B`, `T3F`, `RT`: the crossing by its standard name, or by how it is named.

    Held at the back it crosses to the right, at the front to the left; with T those behind are
    purled (Craft Yarn Council and common practice, from memory).
    """
    key = re.sub(r"\s", "", said.lower())
    if "/" in key:
        numbers, how = re.fullmatch(r"([\d/]+)([lr]p?c)", key).groups()  # type: ignore[union-attr]
        return ((f"{numbers} {how}", 1),)
    if key in {"rt", "lt"}:
        return ((crossing(1, 1, "right" if key == "rt" else "left"), 1),)
    kind, digits, way, purl = re.fullmatch(  # type: ignore[union-attr]
        r"(cr?|tw?)(\d+)([fblr])(p?)", key
    ).groups()
    every = int(digits)
    if not 2 <= every <= 24:
        raise ValueError(f"{said!r} crosses more than a cable needle holds")
    over = (every + 1) // 2
    lean = "right" if way in "br" else "left"
    purled = bool(purl) or kind == "t"
    return ((crossing(over, every - over, lean, purl=purled), 1),)


_TOGETHER = {"three": "3", "four": "4", "five": "5"}


def together(said: str) -> Parts:
    """`k2tog`, `p 3 together`, `k2tog tbl`, `work 2 tog`."""
    key = said.lower()
    count = next(
        (c for c in key if c.isdigit()), next((n for w, n in _TOGETHER.items() if w in key), "2")
    )
    hand = "p" if key.startswith("p") else "k"
    back = " tbl" if "tbl" in key or "back" in key else ""
    key = f"{hand}{count}tog"
    return ((key + back if key + back in STITCHES else key, 1),)


def _value(said: str) -> float | None:
    said = said.strip()
    if said in {"-", "–", "—"}:
        return None
    for sign, fraction in _FRACTIONS.items():
        if said.endswith(sign):
            return float(said[:-1].strip() or 0) + fraction
    if "/" in said:
        whole, _, fraction_said = said.rpartition(" ")
        above, _, below = fraction_said.partition("/")
        return float(whole or 0) + (float(above) / float(below) if float(below) else 0.0)
    return float(said[: _DIGITS_AT_MOST + 1] if said.isdigit() else said)


def number(said: str, spot: Spot) -> Number:
    """A numeral, a list by size, or a number in words."""
    said = said.rstrip()
    word = said.strip().lower()
    if word in _COUNTING:
        return Number((float(_COUNTING.index(word)),), spot, said)
    if word in _TENS:
        return Number((30.0 + 10 * _TENS.index(word),), spot, said)
    if word in _TIMES_WORDS:
        return Number((float(_TIMES_WORDS[word]),), spot, said)
    flat = said
    for sign in "()[]:;":
        flat = flat.replace(sign, ",")
    values = [_value(part) for part in flat.split(",") if part.strip()]
    return Number(tuple(values), spot, said)


def ordinal(said: str) -> int:
    """`3rd` is 3; of `8th (7th, 6th)`, one for each size, the first."""
    return ordinals(said)[0]


def ordinals(said: str) -> tuple[int, ...]:
    """`8th (7th, 6th)` is 8, 7, 6."""
    return tuple(int(digits[:_DIGITS_AT_MOST]) for digits in re.findall(r"\d+", said))
