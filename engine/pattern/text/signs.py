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
    **dict.fromkeys("→⇒➔➜➡➞⟶", "-"),
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
    if not (line.text.isascii() and line.text.isprintable()):
        line = line.sub(_ODD, _plain)
    if _DASHES.search(line.text):
        line = line.sub(_DASHES, "–")
    if _SPACED.search(line.text):
        line = line.sub(_SPACED, lambda m: re.sub(r"\s+[-–]\s+", ", ", m.group()))
    if _HYPHENS.search(line.text):
        line = line.sub(_HYPHENS, lambda m: re.sub(r"\s*-\s*", ", ", m.group()))
    if _OF_SIZES.search(line.text):
        line = line.sub(_OF_SIZES, _by_size)
    if _ARROW.search(line.text):
        line = line.sub(_ARROW, r" (\1 \2)")
    if _TIMES.search(line.text):
        line = line.sub(_TIMES, r"\1 (\2 sts)")
    return _seen_right(line)


_TIMES = re.compile(r"(?<=[)\]\s])([x×]\s?\d+)\s*\(\s*(\d+)\s*(?:sts?)?\s*\)(?=\s*\.?\s*$)", re.I)
"""`(k2, k2tog) x6 (18)`: a count, and no number by size."""


_ARROW = re.compile(
    r"(?:(?<=[a-z)\]])\s*[.;,])?\s*[-=]+>\s*(\d+(?:\s*[(\[][\d\s,:;/]+[)\]])?)\s*(sts?|stitches|loops|[mp])\b",
    re.I,
)
"""`… 40 times. -> 167 sts`: the count after it."""


def _by_size(match: re.Match[str]) -> str:
    others = re.sub(r"\s*[,:;/]\s*", ", ", match[2]).removeprefix(", ")
    return f"- {match[1]} ({others}) {match[3]}"


# What a scanner takes for another sign: `l0 sts`, `4O sts`, `k. l`, `inc. l st.`
_MIS_SEEN = (
    (re.compile(r"(?<![A-Za-z0-9.])[lI](?=\d)"), "1"),
    (re.compile(r"(?<![A-Za-z\d/])(\d+)[lI](?![A-Za-z])"), r"\g<1>1"),
    (re.compile(r"(?<![A-Za-z\d/])(\d+)O(?![A-Za-z])"), r"\g<1>0"),
    (re.compile(r"(?<![A-Za-z'])l(?=\s*(?:sts?|stitch|loop|ins?|inch|rows?|rnds?)\b)"), "1"),
    (
        re.compile(r"(?<![A-Za-z])((?:[kKpP]|[sS]l|[mM]|inc|dec)\.?\s?)l(?=\s*[,.;)\s]|$)"),
        r"\g<1>1",
    ),
)


_DASHES = re.compile(r"(?<=\s)--+(?=\s)")
_SPACED = re.compile(r"(?<=\d\s)\(\s*\d+(?:\s+[-–]\s+\d+)+\s*\)")
"""`80 (88 - 96)`"""
_HYPHENS = re.compile(
    r"(?<=[(\[])\s*\d+(?:\.\d+)?\s?[½¼¾]?(?:\s*-\s*\d+(?:\.\d+)?\s?[½¼¾]?){2,}(?=\s*[)\]])"
)
"""`10 (12-14-16)`"""
_OF_SIZES = re.compile(
    r"[(\[]\s*(\d+)((?:\s*[,:;/]\s*\d+)+)\s*(sts?|stitches|loops)\.?\s*[)\]]", re.I
)
"""`(48, 52, 54 sts)`: one count for each size."""


def _seen_right(line: Written) -> Written:
    if not _SUSPECT.search(line.text):
        return line
    for pattern, by in _MIS_SEEN:
        line = line.sub(pattern, by)
    return line


_SUSPECT = re.compile(r"\d[lIO]|[lI]\d|(?<![A-Za-z'])l(?![A-Za-z'])|\b[KPkp]l\b|\bMl\b")
