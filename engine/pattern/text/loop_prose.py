"""A row of loop yarn told in sentences: "take the loop, pull it through the one below, and so on".

Each sentence must say one known thing: which way, that a loop is drawn through a loop, that it goes
on so to the end, how many there are. Then it is a knit row (drawn from back to front) or a purl row
(from front to back); one sentence more, and it is not read here.
"""

import re
from itertools import pairwise

from engine.pattern.text.cuts import sentences
from engine.pattern.text.written import Written, joined

_LABEL = re.compile(
    r"^(?P<name>(?:next\s+)?(?:rows?|rnds?|rounds?)\s*[\d\s–-]*|(?:\d+(?:st|nd|rd|th)|first|second|third|fourth|fifth|sixth)\s+row)\s*"
    r"(?:\(\s*(?P<way>left\s+to\s+right|right\s+to\s+left)\s*\)\s*)?[:.]\s*",
    re.I,
)
_LABELLED = re.compile(
    r"^(?:(?:next|every|all|each)\s+)?(?:rows?|rnds?|rounds?)\b|"
    r"^(?:\d+(?:st|nd|rd|th)|first|second|third|fourth|fifth|sixth|seventh|eighth)\s+(?:row|rnd|round)\b",
    re.I,
)
_FROM_SIDE = re.compile(
    r"^(?:(?:now|this\s+time)\s+)?(?:you\s+)?(?:begin|start)(?:ning|ing)?\s+(?:again\s+)?(?:on|at|from)\s+the\s+(?P<side>left|right)"
    r"(?:\s+(?:side|end|edge))?(?:\s+(?:this\s+time|now))?\s*[.,]?\s*",
    re.I,
)
_WAY = re.compile(r"\b(left\s+to\s+right|right\s+to\s+left)\b", re.I)
_DRAWN = re.compile(
    r"\b(?:pull|draw|bring|push|poke|slide|lift|pop|feed|pass)(?:ing|ed)?\b[^.]*?\bthrough\b[^.]*",
    re.I,
)
_THROUGH_LOOP = re.compile(r"\bthrough\b[^.]*?\b(?:loops?|it|one|them)\b", re.I)
_PURL = re.compile(r"\bfront\s+to\s+(?:the\s+)?back\b", re.I)
_AND_SO_ON = re.compile(
    r"^(?:(?:and|then|now)\s+)*(?:just\s+)?(?:do\s+(?:the\s+same|this)|repeat(?:\s+this)?|continue|keep\s+(?:going|on)|carry\s+on|go\s+on|work)\b"
    r"[^.]*?\b(?:every|each|all|across|along|end|start|row|round|side)\b[^.]*$",
    re.I,
)
_LOOPS = re.compile(r"\b(\d+)\s+(?:foundation\s+|live\s+)?loops\b", re.I)
_CLAIM = re.compile(
    r"^(?:you|there)?\s*(?:(?:should|will|now|still|are|have|be|again)\s+)*(?P<n>\d+)\s+loops(?:\s+(?:in\s+all|again|left))?\s*[.!]?$",
    re.I,
)
_SAID = re.compile(
    r"\s*\(\s*(?:an?\s+|the\s+)?(?P<stitch>knit|purl)\s+(?:stitch|st|loop)\s*\)", re.I
)
"""What a bracket calls it."""
_OTHER = re.compile(
    r"\b(?:two|three|both|second|third|together|twice|skip|next\s+two|knit|purl|cast|bind|"
    r"(?<!of )rows?\s+\d|decreas\w*|increas\w*|until\s+only)\b",
    re.I,
)


_STANDS = re.compile(
    r"^(?:(?:the|your|this)\s+)?(?:working\s+)?(?:yarn|tail|ball|end)\s+(?:now\s+)?(?:is|lies?|comes?|will|should|stays?|turns?|"
    r"hangs?)\b[^.\d]*$|^(?:do\s+not|don.t)\s+(?:cut|twist|pull\s+(?:too\s+)?tight)\b[^.\d]*$|"
    r"^skip\s+(?:the\s+)?(?:first|one|next)\s+(?:working\s+)?loop\s+(?:of|on|in|from)\s+(?:the|your)\s+"
    r"(?:working\s+)?(?:yarn|ball|skein)\b[^.\d]*$|"
    r"^(?:place|lay|hold|keep|bring)\s+(?:the|your)\s+(?:working\s+)?(?:yarn|tail)\b[^.\d]*$",
    re.I,
)
"""Where the yarn lies, and what is not done: no loop moves."""


_SAME = re.compile(
    r"(?P<label>row\s+(?P<n>\d+))\s*(?:\((?P<way2>left\s+to\s+right|right\s+to\s+left)\)\s*)?[:.]\s*(?:(?:now|this\s+time)\s+)?(?:(?:work|go|knit)(?:ing)?\s+)?(?:back\s+)?"
    r"(?:(?:from\s+)?(?P<way>left\s+to\s+right|right\s+to\s+left)\s*,?\s*(?:and\s+)?)?"
    r"(?:in\s+(?:exactly\s+)?the\s+same\s+(?:way|manner)|"
    r"(?:(?:do|repeat|work)\s+)?(?:exactly\s+)?(?:the\s+same(?:\s+thing)?|this))(?:\s+again)?"
    r"(?:\s+in\s+the\s+(?:other|opposite)\s+direction)?(?:,\s*(?:from\s+)?back\s+to\s+front)?"
    r"(?:,\s*(?:for|as)\s+a\s+knit\s+(?:stitch|st|row))?\s*[.!]?\s*"
    r"(?:\(?\s*(?P<count>\d+)\s+loops\s*\)?)?\s*\.?",
    re.I,
)
"""`Row 2: working left to right, do the same thing`."""


def _same_row(line: Written) -> Written | None:
    told = _SAME.fullmatch(line.text)
    way = told and (told["way"] or told["way2"])
    if told is None or not way or int(told["n"]) < 2:
        return None
    count = f" ({told['count']} loops)" if told["count"] else ""
    said = f"{told['label']} ({way.lower()}): as row {int(told['n']) - 1}{count}"
    spot = line.spot(0)
    return Written.at(said, spot.line, spot.column)


def loop_row(line: Written) -> Written:
    """The row in short, as `Row 2 (left to right): knit. 12 loops`; else the line as it is."""
    text = line.text
    same = _same_row(line)
    if same:
        return same
    if "loop" not in text.lower() or not _DRAWN.search(text):
        return line
    label = _LABEL.match(text)
    if not label and _LABELLED.match(text):
        return line
    start = label.end() if label else 0
    cuts = sentences(text[start:])
    way, stitch, count = (label["way"] or "").lower() if label else "", "", ""
    for a, b in pairwise(cuts):
        one = text[start + a : start + b].strip().rstrip(".!")
        told = _way_of(one)
        way, one = told if told else (way, one)
        named = _SAID.search(one)
        called = named["stitch"].lower() if named else ""
        one = _SAID.sub("", one).strip()
        claim = _CLAIM.match(one)
        if claim:
            count = claim["n"]
        elif _STANDS.match(one) and not _DRAWN.search(one):
            continue
        elif _OTHER.search(one):
            return line
        elif stitch and _AND_SO_ON.match(one) and not _PURL.search(one):
            found = _LOOPS.search(one)
            count = found[1] if found else count
        elif _DRAWN.search(one) and (called or _THROUGH_LOOP.search(one)):
            if stitch or (called == "knit" and _PURL.search(one)):
                return line
            stitch = called or ("purl" if _PURL.search(one) else "knit")
            found = _LOOPS.search(one)
            count = found[1] if found else count
        elif one:
            return line
    if not stitch or not (label or way):
        return line
    spot = line.spot(start)
    marked = f"({way}) " if way else ""
    body = f"{marked}{stitch}" + (f". {count} loops" if count else "")
    if label:
        name = line.cut(*label.span("name")).strip()
        marked = f" ({way})" if way else ""
        body = f"{marked}: {stitch}" + (f". {count} loops" if count else "")
        return joined([name, Written.at(body, spot.line, spot.column)], "")
    return Written.at(body, spot.line, spot.column)


def _way_of(sentence: str) -> tuple[str, str] | None:
    """Which way it goes, and what else the sentence says."""
    begun = _FROM_SIDE.match(sentence)
    if begun:
        way = "left to right" if begun["side"].lower() == "left" else "right to left"
        return way, sentence[begun.end() :]
    found = _WAY.search(sentence)
    if found is None:
        return None
    rest = sentence[found.end() :].strip(" ,.:;")
    return found[1].lower(), rest if _DRAWN.search(rest) else ""
