"""Two shapings at the same time: "…, at the same time, when armhole measures 4 cm, shape neck: …".

What stands before those words is said as it is; what comes after them goes on beside it.
"""

import re
from collections.abc import Callable

from engine.pattern.text.row_items import Claim
from engine.pattern.text.statements import AtOnce, Even, ShapeRows, Span, Statement
from engine.pattern.text.written import Written, joined

Said = tuple[Statement, ...] | None
Read = Callable[[Written], tuple[Statement, ...] | Exception]

_BESIDE = re.compile(
    r"\s*[,;.:(–—-]*\s*(?:\b(?:and|but|while|also)\s+)?\bat\s+(?:the\s+)?same\s+time\b"
    r"\s*[,;:.–—-]*\s*(?:as\s+follows\s*:\s*)?"
    r"|(?<=[\w\"”″.)])\s*(?:,\s*(?:while\s+|and\s+)?|\s(?:while|and)\s+)"
    r"(?=(?:inc|dec)reasing\s+(?:\d|one|two)[^.;:]*\b(?:every|each|next|foll\w*)\b[^.;:]*"
    r"\b(?:rows?|rnds?|rounds?)\b)",
    re.I,
)
"""`Work for 12 cm, decreasing 1 st at each end of every 8th row 3 times` says it as well."""
_NUMBER = r"\d[\d.½¼¾⅓⅔⅛⅜⅝⅞/ ]*(?:\s*[(\[][^)\]]*[)\]])*"
_WHEN = re.compile(
    r"(?:and\s+)?(?:when|once|after|as\s+soon\s+as)\s+(?P<until>"
    rf"(?:the\s+)?[a-z ]*?\b(?:measures?|meas|is)\.?\s+{_NUMBER}\s*"
    r"(?:cms?\b\.?|in(?:s|ch(?:es)?)?\b\.?|\"|”|″)"
    r"(?:\s*(?:/|or|\()\s*[\d.½¼¾]+\s*(?:cm|in(?:ch(?:es)?)?|\")\s*\)?)?"
    r"(?:\s+from\s+(?:the\s+)?(?:beg(?:inning)?|cast[\s-]on(?:\s+edge)?|start)\b)?"
    rf"|(?:there\s+are\s+)?{_NUMBER}\s*(?:sts?|stitches|loops)\s*(?:rem(?:ain)?|are\s+left|left)?\b\.?)"
    r"\s*[,;:.–—-]*\s*",
    re.I,
)
_NEXT = re.compile(
    r"(?:(?:and|starting|beginning|commencing|from|on|with)\s+)*(?:the\s+)?next\s+"
    r"(?P<side>RS|WS|right[\s-]side|wrong[\s-]side)?\s*(?:row|rnd|round)\s*[,;:]\s*",
    re.I,
)
_SHAPE = re.compile(
    r"(?:then\s+|also\s+)?(?:(?:begin|start|commence)\s+(?:to\s+)?)?(?:shap(?:e|ing)|work)?\s*(?:the\s+)?"
    r"(?:front\s+|back\s+|left\s+|right\s+)*(?:v[\s-]?)?(?:neck(?:line|\s+edge)?|armholes?|shoulders?|sides?|waist|raglans?|front\s+edge)?"
    r"(?:\s+edge)?(?:\s+(?:shap(?:ing|e)|decreas(?:es|ing)|increas(?:es|ing)))?(?:\s+(?:as\s+follows|thus|by))?\s*(?:[,;:.–—-]+\s*|$|(?<=by)\s+)",
    re.I,
)
_MOVES = re.compile(
    r"\b(?:shap(?:e|ing)|dec(?:reas\w*)?|inc(?:reas\w*)?|bind(?:ing)?\s+off|cast(?:ing)?\s+o(?:ff|n)|bo|"
    r"k2tog|ssk|buttonholes?)\b",
    re.I,
)
_BOTH = re.compile(r"\b(?:sides?|halves|shoulders|pieces|fronts|sleeves|edges|socks)$", re.I)
NOT_READ = (
    "what goes on at the same time is read where it says how often, as in 'dec 1 st at armhole "
    "edge every other row 4 times, at the same time dec 1 st at neck edge every 4th row twice'; "
    "else its rows are to be written out"
)


def _found(text: str) -> re.Match[str] | None:
    """Where a text says that something goes on beside another; two sides of a neck are not that."""
    found = _BESIDE.search(text)
    return None if found and _BOTH.search(text, 0, found.start()) else found


def shapes_beside(text: str) -> bool:
    """Whether a text speaks of a shaping that goes on beside another."""
    found = _found(text)
    return bool(found and _MOVES.search(text, found.end()))


def beside(whole: Written, read: Read) -> tuple[Written, AtOnce, tuple[Statement, ...]] | None:
    """What stands before, what goes on beside it, and the count after it; None for another text."""
    found = _found(whole.text)
    if found is None:
        return None
    before, rest = whole.cut(0, found.start()).strip(" ,;.:–—-"), whole.cut(found.end())
    spot = whole.spot(min(found.end(), len(whole.text) - 1))
    when: Span | None = None
    begins = _WHEN.match(rest.text)
    if begins:
        when = _span(rest.cut(*begins.span("until")), read)
        if when is None:
            return None
        rest = rest.cut(begins.end())
    side = None
    next_row = _NEXT.match(rest.text)
    if next_row:
        side = (next_row["side"] or "").upper()[:1]
        side = {"R": "RS", "W": "WS"}.get(side)
        rest = rest.cut(next_row.end())
    shape = _SHAPE.match(rest.text)
    if shape:
        rest = rest.cut(shape.end())
    rest = rest.strip(" ,;:")
    if not rest.text.strip(" ."):
        return (before, AtOnce((), spot, when, side), ()) if when or begins or shape else None
    said = read(rest)
    if not isinstance(said, tuple) or not said:
        return None
    shapings = tuple(s for s in said if isinstance(s, ShapeRows))
    claims = said[len(shapings) :]
    if not shapings or not all(isinstance(s, Claim) for s in claims) or len(claims) > 1:
        return None
    return before, AtOnce(shapings, spot, when, side), claims


def _span(words: Written, read: Read) -> Span | None:
    """`armhole measures 4 cm`: how long something goes on until then."""
    spot = words.spot(0)
    lead, end = "work even until", ""
    if re.search(r"\b(?:sts?|stitches|loops)\b", words.text, re.I):
        lead = "dec 1 st at each end of every row until"
        end = "" if re.search(r"\b(?:rem(?:ain)?|left)\.?$", words.text, re.I) else "remain"
    said = read(
        joined(
            [Written.at(t, spot.line, spot.column) for t in (lead,)]
            + [words]
            + [Written.at(t, spot.line, spot.column) for t in (end,) if t]
        )
    )
    if not isinstance(said, tuple) or len(said) != 1:
        return None
    match said[0]:
        case Even(span=span):
            return span
        case ShapeRows(turns=(turn,)):
            return turn.span
    return None
