"""What is said by the way and may be left out of a sentence, so that the rest is read.

Nothing that could count is left out: no figure, no number in words, no word of the work.
"""

import re
from collections.abc import Iterator

from engine.pattern.text.written import Written, joined

_COUNTS = re.compile(
    r"\d|[½¼¾⅓⅔]|\b(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|twenty|thirty|forty|"
    r"fifty|sixty|once|twice|thrice|times?|each|every|all|alt(?:ernate)?|other|both|half|double|"
    r"k|p|knit|purl|yo|sl|slip|inc|dec|increas\w*|decreas\w*|rep|repeat\w*|work\w*|cast\w*|bind\w*|"
    r"co|bo|pick\w*|turn\w*|join\w*|sts?|stitch(?:es)?|loops?|rows?|rnds?|rounds?|last|next|first|"
    r"end|ends|ending|beg|beginning|until|till|before|after|rem|remain\w*|left|marker\w*|rib\w*|"
    r"even|straight|patt\w*|together|tog|over|through|times|skip|drop\w*|pass\w*|wrap\w*|cable\w*|"
    r"rs|ws|side|sides|edge|edges|as|same|like|alike|given|second|not|except|without|unless|but|only|holder|hold|rest|complet\w*|finish\w*|reach\w*|done|again|less|than|fewer|more|short|desired|required|longer|further|through\w*|measur\w*|half|halves|revers\w*|from|above|below|past|beyond|since)\b",
    re.I,
)
"""What may change a count; the rest of a sentence never does."""
_BRACKET = re.compile(r"\s*[(\[](?P<inside>[^()\[\]]{2,120})[)\]]")
_EXPLAINS = re.compile(
    r"(?:(?:k(?:nit)?|p(?:url)?)\s+(?:on\s+)?(?:the\s+)?(?:RS|WS|right\s+side|wrong\s+side|right|wrong)"
    r"(?:\s+(?:rows?|side))?(?:\s*(?:,|;|and)\s*)*){1,2}|"
    r"(?:k(?:nit)?|p(?:url)?)\s+(?:every|each|all)\s+(?:rows?|rnds?|rounds?|sts)|every\s+(?:row|rnd)\s+k(?:nit)?|"
    r"(?:about\s+|approx\.?\s+|or\s+)?\d+(?:[-–]\d+)*(?:\s+sts)?\s+(?:on|per|for|to)\s+(?:each|every|a|the|one)\b.*|"
    r"(?:one|1)\s+(?:st\s+)?(?:in|into|for|from)\s+(?:each|every)\b.*|"
    r"(?:about\s+|approx\.?\s+|=\s*)?\d+\s+(?:garter\s+)?ridges?(?:\s+in\s+all)?|"
    r"(?:(?:with|to|at|for)\s+)?(?:an?\s+|your\s+)?(?:gauge|tension)\b.*|"
    r"(?:\d+\s*(?:sts?|stitches|loops|rows|rnds|rounds)\s*(?:,|and|x)?\s*){1,2}(?:=|to|per|over)\s*(?:an?\s+|the\s+)?"
    r"(?:\d[\d.½]*\s*)?(?:cms?|ins?|inch|\").*|"
    r"(?:so\s+)?(?:that's|this\s+is|you\s+will\s+have|which\s+is)\b[^\d]*",
    re.I,
)
"""What a bracket may explain: what a fabric is, how many lie on each needle, how many ridges."""
_WORD = re.compile(r"\s+(?=\S+$)")
_LEAD = re.compile(r"^[^,;:.–—*]{3,60}(?:,|:|–|—|\s-)\s+")
WORDS_AT_MOST = 7


_TOLD = re.compile(
    r"(?:the|this|that|these|it|it['’]s|its|you|your|so|which|note|i|we|because|since|if|remember|making\s+sure|make\s+sure|"
    r"being|count|see|e\.?g\.?|i\.?e\.?|there|here|don['’]t|do\s+not|be\s+careful|careful|always|never|just|they|a|an)\b(?!\s*$)",
    re.I,
)
_STITCH = re.compile(
    r"\d|\b(?:[kp]|yo|sl|ssk|skp|psso|[kp]fb|m1[lr]?|tog|tbl|yf|until|times|once|twice|repeat|rep|instead|unless|except|only|size|sizes)\b|\*",
    re.I,
)


def told(inside: str) -> bool:
    """Whether a bracket explains in a sentence: no group of stitches begins with `the`."""
    return bool(_TOLD.match(inside)) and not _STITCH.search(inside)


_SAFE = re.compile(
    r"(?<=[\w,;)])\s+(?:simply|just|carefully|gently|neatly|again|now|also|of\s+course|as\s+usual|as\s+you\s+go|please|happily|quickly|"
    r"for\s+now|at\s+this\s+point|in\s+total\s+length|in\s+the\s+usual\s+way|as\s+normal|as\s+before)(?=\s|[,.;:]|$)",
    re.I,
)
"""A manner, a wish or a filler: none of them is a stitch or a number."""
_INNER = re.compile(r"(?<=[,;])\s*(?P<inside>[^,;:.*()\[\]]{4,70})(?:,)(?=\s)")


def shaved(words: Written) -> Iterator[tuple[Written, Written]]:
    """The sentence without one thing that counts for nothing, and what that is."""
    text = words.text
    for bracket in reversed(list(_BRACKET.finditer(text))):
        inside = bracket["inside"].strip()
        if _EXPLAINS.fullmatch(inside) or not _COUNTS.search(inside) or told(inside):
            yield _without(words, bracket.start(), bracket.end())
    stop = len(text.rstrip(" .!"))
    for start in _tails(text, stop):
        yield _without(words, start, stop)
    for safe in _SAFE.finditer(text):
        yield _without(words, safe.start(), safe.end())
    lead = _LEAD.match(text)
    if lead and not _COUNTS.search(lead.group()):
        yield words.cut(lead.end()), words.cut(0, lead.end()).strip(" ,;:-–—")


def between(words: Written) -> Iterator[tuple[Written, Written]]:
    """A sentence that is no row without what stands between two of its commas."""
    text = words.text
    for inner in _INNER.finditer(text):
        if len(inner["inside"].split()) > 1 and not _COUNTS.search(inner["inside"]):
            yield _without(words, inner.start(), inner.end())


def _tails(text: str, stop: int) -> Iterator[int]:
    """Where a last clause or a few last words begin that count for nothing, the longest first."""
    starts = []
    start = stop
    for _ in range(WORDS_AT_MOST):
        match = _WORD.search(text, 0, start)
        if match is None or _COUNTS.search(text[match.end() : stop]):
            break
        start = match.start()
        starts.append(start)
        if text[start - 1] in ",;:–—-":
            break
    yield from reversed(starts)


def _without(words: Written, start: int, stop: int) -> tuple[Written, Written]:
    kept = joined([words.cut(0, start), words.cut(stop)], "")
    kept = kept.cut(0, len(kept.text.rstrip(" ,;:–—-")))
    return kept, words.cut(start, stop).strip(" ,;:–—-()")
