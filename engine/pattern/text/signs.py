"""Typographic signs made plain: what a printer, a web page or an office program puts in a text."""

import re
import unicodedata

from engine.pattern.text.written import Written

# Signs that mean the same as a plain one. Names by the Unicode Character Database.
_SAME = {
    **dict.fromkeys("\u00a0\u1680\u202f\u205f\u3000\t\v\f", " "),
    **{chr(c): " " for c in range(0x2000, 0x200B)},  # en, em, thin, hair spaces
    **dict.fromkeys("\u00ad\u200b\u200c\u200d\u200e\u200f\u2060\ufeff\ufe0e\ufe0f", ""),
    **dict.fromkeys("“”„‟«»″〃", '"'),
    **dict.fromkeys("‘’‚‛′´`ʼ", "'"),
    **dict.fromkeys("‐‑‒−﹣", "-"),
    **dict.fromkeys("∗＊✱✲✳✻⁎⋆﹡٭✽❊", "*"),
    **dict.fromkeys("✕✖⨯╳", "×"),
    "…": "...",
    "⁄": "/",
    "∕": "/",
    "ﬀ": "ff",
    "ﬁ": "fi",
    "ﬂ": "fl",
    "ﬃ": "ffi",
    "ﬄ": "ffl",
    "‡": "†",
    "⅙": " 1/6",
    "⅚": " 5/6",
    "⅕": " 1/5",
    "⅖": " 2/5",
    "⅗": " 3/5",
    "⅘": " 4/5",
}
_KEPT = set("½¼¾⅓⅔⅛⅜⅝⅞×–—†°²©®™€£¢§¶·•")
_UNSEEN = re.compile("[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]")
_ODD = re.compile(r"[^ -~]")
_LETTER = {"L", "N"}


def _plain(match: re.Match[str]) -> str:
    sign = match.group()
    if sign in _SAME:
        return _SAME[sign]
    if sign in _KEPT:
        return sign
    same = unicodedata.normalize("NFKC", sign)
    if len(same) == 1 and same.isascii():
        return same  # full-width letters and figures
    kind = unicodedata.category(sign)
    if kind in {"Cf", "Mn", "Me"}:
        return ""  # turns the direction, or joins; an accent that stood alone
    if kind[0] in _LETTER or kind in {"Pd", "Sc"} or sign == "\ufffd":
        return sign
    return " "  # an emoji, a dingbat, a control sign


def visible(text: str) -> str:
    """A text without the signs that are never seen: soft hyphens, joiners, marks of direction."""
    return _UNSEEN.sub("", text)


def made_plain(line: Written) -> Written:
    """The same line in plain signs. Letters of any script stay, and the signs of the craft."""
    if line.text.isascii() and line.text.isprintable():
        return line
    return line.sub(_ODD, _plain)
