"""How makers for loop yarn tell a beginning and an end: counted out, laid in a ring, closed.

`Start by counting 26 loops`, `bring the first and last loop together to make a circle`, `pull the
second loop through the first, the third through the second and so on until one is left`.
"""

import re

from engine.pattern.text.written import Written, joined

_LAID = re.compile(
    r"^(?:start\s*[.:]\s*|row\s+1\s*(?:\(foundation\)\s*)?[:.]\s*)?(?:(?:to\s+(?:start|begin)|first)\s*,?\s*|(?:start|begin)\s+by\s+|"
    r"(?:lay|spread|put)\s+(?:out\s+)?(?:the|your)\s+(?:loop\s+)?yarn\b[^.;\d]*?\band\s+)?"
    r"(?:count(?:ing)?|lay(?:ing)?|measur(?:e|ing)|unroll(?:ing)?)\s+(?:(?:out|off|down|along|up)\s+)*"
    r"(?:the\s+first\s+|your\s+first\s+|your\s+)?(?P<n>\d+(?:\s*[(\[][\d\s,:;]+[)\]])*)\s+loops\b"
    r"(?P<rest>[^.;:\d]*)(?P<stop>[.;]?)\s*$",
    re.I,
)
_CIRCLED = re.compile(
    r"^(?P<laid>(?:to\s+(?:start|begin)\s*,?\s*)?(?:count|lay|measure)\s+(?:out\s+|off\s+)?\d+\s+loops)\s*(?:,|and)+\s*"
    r"(?:join|close|bring|lay|form|make)\b[^.:;\d]*?\b(?:circle|ring|round)\b(?:\s*[:,;–—-](?P<how>[^.]*))?[.]?\s*$",
    re.I,
)
"""`Count out 48 loops and join into a ring: put loop 48 next to loop 1`."""
_MORE = re.compile(
    r"\b(?:pull|draw|push|knit|purl|through|join|circle|ring|round|skip|leav\w+|extra|more|plus|each|"
    r"every|rows?|between)\b",
    re.I,
)
"""What is more than where they lie."""
_RING = re.compile(
    r"^(?:(?:now|then|and)\s+)*(?:bring|lay|place|put|hold|arrange|set|curve|bend|form|shape)\b[^.;:\d]*?"
    r"\b(?:loops?|ends|them|foundation|chain|strip)\b[^.;:\d]*?\b(?:circle|ring)\b[^.;:\d]*(?P<stop>[.;]?)\s*$",
    re.I,
)
_OFF = re.compile(
    r"^(?:(?:start|begin)\b[^.:\d]*\.\s+)?(?:(?:to\s+)?(?:(?:bind|cast)(?:ing)?\s+off|close|finish|end)\b[^.;:,\d]{0,24}[:,.–—-]+\s*)?"
    r"(?:(?:by\s+)?(?:work(?:ing)?\s+)?(?:from\s+)?(?:left\s+to\s+right|right\s+to\s+left)\s*[:,]?\s*)?"
    r"(?:(?:pull|draw|pass|bring|lift)(?:ing)?\s+(?:loop\s+2|(?:the\s+)?second\s+(?:loop|one|st))\s+"
    r"(?:up\s+)?(?:through|over)\s+(?:loop\s+1|(?:the\s+)?first(?:\s+(?:loop|one|st))?)|"
    r"knit\s+(?:2|two|the\s+first\s+(?:2|two))\s+loops\s*,?\s*(?:and\s+)?(?:then\s+)?(?:pass|pull|lift|draw)\s+the\s+first\s+"
    r"(?:loop\s+|one\s+)?over\s+the\s+second(?:\s+(?:loop|one))?)\b(?P<rest>[^.]*(?:\.\s+[^.]*)?)\.?\s*$",
    re.I,
)
_TO_THE_END = re.compile(
    r"\b(?:until|till)\s+(?:only\s+|there\s+is\s+(?:only\s+)?|you\s+have\s+(?:only\s+)?)?(?:one|1)\b|"
    r"\bthird\b[^.]*\b(?:through|over)\b[^.]*\bsecond\b|\band\s+so\s+(?:on|forth)\b|\bto\s+the\s+(?:end|last)\b|\b(?:all|every|each)\b[^.]*\bloops?\b",
    re.I,
)
_NOT_ALL = re.compile(
    r"\d\s+(?:more\s+)?(?:times|loops)|\bbut\b|\bexcept\b|\bthen\s+(?:knit|purl)\b", re.I
)


def loop_end(line: Written) -> Written:
    """The sentence in short, as `cast on 26 loops`; itself where it is none of these."""
    text = line.text
    if "loop" not in text.lower():
        return line
    ring = _CIRCLED.match(text)
    if ring and not _MORE.search(ring["how"] or ""):
        text = ring["laid"]
        laid = _LAID.match(text)
        assert laid is not None  # it begins so
        joins = _at(line, " loops and join to work in the round.")
        return joined([_at(line, "cast on "), line.cut(*laid.span("n")), joins], "")
    laid = _LAID.match(text)
    if laid and not _MORE.search(laid["rest"]):
        return joined([_at(line, "cast on "), line.cut(*laid.span("n")), _at(line, " loops.")], "")
    if _RING.match(text):
        return _at(line, "join to work in the round.")
    off = _OFF.match(text)
    if off and _TO_THE_END.search(off["rest"]) and not _NOT_ALL.search(off["rest"]):
        return _at(line, "bind off.")
    return line


def _at(line: Written, text: str) -> Written:
    spot = line.spot(0)
    return Written.at(text, spot.line, spot.column)
