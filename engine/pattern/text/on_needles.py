"""A round told needle by needle, as socks are, as one row that goes from marker to marker.

`Needle 1: k to last 3 sts, k2tog, k1. Needle 2: knit. Needle 3: k1, ssk, k to end` is `needle by
needle 3, k to 3 sts before marker, k2tog, k1, k to marker, k1, ssk, k to end`; where the needles
end is worked out where the loops are counted.
"""

import re
from itertools import pairwise

from engine.pattern.text.written import Written, joined

_NTH = {"1st": 1, "first": 1, "2nd": 2, "second": 2, "3rd": 3, "third": 3, "4th": 4, "fourth": 4}
_ORDINAL = "|".join(_NTH)
_NAME = (
    r"(?:(?:needles?|ndls?\.?|n)\s*\#?(?P<one>[1-4])(?:\s*(?:and|&|,)\s*(?P<two>[1-4]))?|"
    rf"(?P<nth>{_ORDINAL})\s+(?:needle|ndl))"
)
NEEDLE = re.compile(rf"(?:on\s+)?{_NAME}(?:\s*\([^)]*\))?\s*(?:[:,]|[–-]+\s)\s*", re.I)
"""The beginning of what is worked on one needle."""
_AFTER = re.compile(
    r"\s+(?:(?:of|on|from)\s+)?(?:the\s+)?(?:"
    rf"(?:needle|ndl\.?|n)\s*\#?[1-4]|(?:{_ORDINAL})\s+(?:needle|ndl))(?:\s*\([^)]*\))?",
    re.I,
)
_LABEL = re.compile(
    r"^(?:next\s+|dec(?:rease)?\s+|toe\s+|gusset\s+)?(?:rows?|rnds?|rounds?)\b[^:]{0,20}?(?:[:.–-]\s*|\s+(?=needle))",
    re.I,
)
_LAST = re.compile(r"\bto\s+(?:the\s+)?last\s+(\d+)\s*(?:sts?|stitches)?\b", re.I)
_END = re.compile(
    r"\b(?:to\s+(?:the\s+)?end|across|all(?:\s+sts)?)\b(?:\s+of\s+(?:the\s+)?needle)?", re.I
)
_BARE = re.compile(r"^\s*(?:k|knit)(?:\s+all(?:\s+sts)?)?\s*[.;]?\s*$", re.I)


def on_needles(line: Written) -> Written:
    """The round as one row; itself where it does not speak of two needles or more."""
    label = _LABEL.match(line.text)
    begins = label.end() if label else 0
    body = line.cut(begins)
    told = _begun(body) or _ended(body) or _twice(body)
    if told is None:
        return line
    count, parts = told
    spot = line.spot(begins)
    lead = Written.at(f"needle by needle {count}, ", spot.line, spot.column)
    return joined([line.cut(0, begins), lead, *parts], "")


def _begun(body: Written) -> tuple[int, list[Written]] | None:
    """`Needle 1: … Needle 2: …`"""
    found = list(NEEDLE.finditer(body.text))
    if not found or found[0].start() > 1 or len(found) < 2:
        return None
    on: dict[int, Written] = {}
    stops = [*(m.start() for m in found[1:]), len(body.text)]
    for match, stop in zip(found, stops, strict=True):
        piece = body.cut(match.end(), stop)
        first = _NTH.get((match["nth"] or "").lower()) or int(match["one"])
        for number in (first, int(match["two"]) if match["two"] else first):
            as_other = _AS_NEEDLE.match(piece.text)
            on[number] = on.get(int(as_other["n"]), piece) if as_other else piece
    count = max(on)
    if sorted(on) != list(range(1, count + 1)) or count < 2:
        return None
    return count, _together([on[n] for n in sorted(on)])


_AS_NEEDLE = re.compile(
    r"^(?:work\s+)?(?:the\s+)?(?:same\s+as|as|like|repeat|rep)\s+(?:for\s+|on\s+)?(?:needle|ndl|n)\s*\#?(?P<n>[1-4])\s*\.?\s*$",
    re.I,
)


_TWICE = re.compile(
    r"^\*\s*(?P<inside>[^*]+?)[;,.]?\s*\*?\s*rep(?:eat)?\.?\s+(?:from\s+)?\*\s+"
    r"(?:(?:on|for|across|over)\s+(?:the\s+)?(?:second|2nd|other|next|back)\s+needle|"
    r"(?:on|for)\s+needle\s+2)",
    re.I,
)
_OF_NEEDLE = re.compile(
    r"(?<=\w)\s+(?:on|of)\s+(?:the\s+|this\s+|each\s+|first\s+)*needle(?:\s+1)?\b", re.I
)
_LAST_ONE = re.compile(r"\bto\s+(?:the\s+)?last\s+(?:st|stitch)\b", re.I)


def _twice(body: Written) -> tuple[int, list[Written]] | None:
    """`*K1, m1, k to last st on needle, m1, k1; repeat from * on second needle`."""
    found = _TWICE.match(body.text)
    if found is None:
        return None
    inside = body.cut(*found.span("inside")).sub(_OF_NEEDLE, "").sub(_LAST_ONE, "to last 1 sts")
    return 2, [*_together([inside, inside]), body.cut(found.end())]


def _ended(body: Written) -> tuple[int, list[Written]] | None:
    """`K to last 3 sts of needle 1, k2tog, k1; k across needle 2; …`: cut at semicolons."""
    names = list(_AFTER.finditer(body.text))
    parts = [m.start() for m in re.finditer(r";", body.text)]
    if len(names) < 2 or len(parts) != len(names) - 1:
        return None
    cuts = [0, *parts, len(body.text)]
    pieces = [body.cut(a, b).sub(_AFTER, _not_alone).strip(" ;,.") for a, b in pairwise(cuts)]
    return len(pieces), _together(pieces)


def _not_alone(match: re.Match[str]) -> str:
    """`K across needle 2` still says how far."""
    before = match.string[: match.start()].rstrip().lower()
    return "" if before.endswith(("to end", "sts", "across", "st")) else " to end"


def _together(pieces: list[Written]) -> list[Written]:
    out: list[Written] = []
    for index, said in enumerate(pieces):
        last = index == len(pieces) - 1
        piece = _to_its_end(said.strip(" .;,"), last=last)
        spot = piece.spot(0)
        out += [piece] if last else [piece, Written.at(", ", spot.line, spot.column)]
    return out


def _to_its_end(piece: Written, *, last: bool) -> Written:
    """What is worked on one needle, with the next marker for that needle's end."""
    if _BARE.match(piece.text):
        spot = piece.spot(0)
        return Written.at("k to end" if last else "k to marker", spot.line, spot.column)
    return piece if last else piece.sub(_LAST, r"to \1 sts before marker").sub(_END, "to marker")
