"""Tells needles from loop yarn by what a text speaks of."""

import re

_NEEDLES = re.compile(
    r"\b(?:needles?|dpns?|circulars?|circs?|knitting\s+pins|stricknadeln?|nadeln?|aiguilles?|agujas?)\b",
    re.I,
)
_NO_NEEDLES = re.compile(r"\b(?:no|without|instead\s+of)\s+(?:knitting\s+)?needles?\b", re.I)
_LOOPS = re.compile(r"\bloop(?:s|\s+yarn)?\b", re.I)
_STITCHES = re.compile(r"\b(?:sts?|stitch(?:es)?|maschen?|mailles?|puntos?)\b", re.I)
_STITCH_NAMES = re.compile(r"\b(?:[kp]\d?tog|ssk|psso|yo|kfb|k\d+|p\d+|purl|cast\s+on)\b", re.I)


def with_needles(text: str) -> bool:
    """Whether the text speaks of needles, or of stitches and never of loops."""
    text = _NO_NEEDLES.sub(" ", text)
    loops = len(_LOOPS.findall(text))
    stitches = len(_STITCHES.findall(text))
    if _NEEDLES.search(text):
        return stitches >= loops or loops < 3
    return stitches > loops
