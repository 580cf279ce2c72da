"""Shaping that goes on as it began, however it is said, as one sentence that the grammar reads.

`Continue decreasing in this manner, having 1 less st between decs each time, until 18 sts remain`
is `repeat onward until 18 sts remain`. What is left out says how, which the rows above show.
"""

import re

from engine.pattern.text.written import Written, joined

_NUMBER = (
    r"(?:\d+(?:\s*[(\[][\d\s,:;–-]+[)\]])?|two|three|four|five|six|seven|eight|nine|ten|twelve)"
)
_STS = r"(?:sts?|stitch(?:es)?|loops)\b\.?"
_LEAD = re.compile(
    r"^(?:(?:then|now|and)\s+)*(?:cont(?:inue)?|keep|carry\s+on|proceed|go\s+on|rep(?:eat)?|work|knit|"
    r"dec(?:rease|reasing)?|inc(?:rease|reasing)?)\b(?!\s+(?:rows?|rnds?|rounds?)\s+\d)",
    re.I,
)
_AS_BEFORE = re.compile(
    r"\b(?:this|the\s+same|that|similar)\s+(?:way|manner|fashion|sequence|method)\b|"
    r"\blike\s+this\b|\bthus\b|\bso\b|\bas\s+(?:est(?:ablished|\.)?|set|before|above|you\s+have\s+been)\b|"
    r"\b(?:having|with|working|knitting)\s+(?:1|one|2|two)\s+(?:st\w*\.?\s+)?(?:less|fewer|more)\b|"
    r"\b(?:1|one|2|two)\s+(?:st\w*\.?\s+)?(?:less|fewer|more)\s+(?:(?:knit|plain|k)\s+)?(?:st\w*\.?\s+)?"
    r"(?:between|before|after|in|on)\b|"
    r"^(?:cont(?:inue)?|keep)\s+(?:to\s+|on\s+)?(?:dec(?:rease|reasing)?|inc(?:rease|reasing)?|shap(?:e|ing))\b"
    r"(?!\s+\d+(?!\s+(?:sts?|stitches)\s+(?:on\s+)?every\b))|"
    r"^rep(?:eat)?\s+(?:this\s+|these\s+)?(?:(?:dec|inc)\w*\s+)?(?:on\s+)?(?:every|each)\s+(?:\w+\s+)?(?:row|rnd|round)\b|"
    r"^(?:dec|inc)(?:rease|reasing)?\s+(?:on\s+|in\s+)?(?:every|each)\s+(?:row|rnd|round)\b",
    re.I,
)
_BETWEEN = re.compile(
    rf"\b(?:until|till)\s+(?:there\s+are\s+|you\s+have\s+)?(?P<n>{_NUMBER})\s+(?:gusset\s+|thumb\s+)*{_STS}\s+"
    r"(?:between\s+(?:the\s+)?(?:two\s+|2\s+|thumb\s+|gusset\s+)*markers?|"
    r"(?:in|for|on)\s+(?:the\s+)?(?:thumb\s+)?(?:gusset|thumb|gore))\b",
    re.I,
)
_REMAIN = re.compile(
    rf"\b(?:until|till|to)\s+(?:there\s+are\s+|you\s+have\s+|only\s+|you\s+are\s+down\s+to\s+)*(?P<n>{_NUMBER})\s*"
    rf"(?:{_STS}|(?:rem(?:ain)?|left)\b)",
    re.I,
)
_ALL = re.compile(
    r"\b(?:until|till)\s+(?:all|every)\b(?:\s+of)?(?:\s+(?:the|heel|side))*\s+(?:sts?|stitch(?:es)?|loops)\b"
    r"[^.;]*?\b(?:worked|used|dec\w*|consumed|joined)",
    re.I,
)
_EVERY = re.compile(
    r"\b(?:every|each)\s+(?:(?P<nth>other|alt(?:ernate)?|2nd|second|3rd|third|4th|fourth|6th|sixth|RS|right\s+side)\s+)?"
    r"(?P<rows>rows?|rnds?|rounds?)\b|\bon\s+(?P<rs>RS|right[\s-]side)\s+rows\b",
    re.I,
)
_ELSEWHERE = re.compile(
    r"\b(?:at(?!\s+(?:the\s+)?(?:cent(?:er|re)|middle)\b)|edges?|only|each\s+end|instead|except)\b",
    re.I,
)
_NTH = {"second": "2nd", "third": "3rd", "fourth": "4th", "sixth": "6th", "alternate": "alt"}


def going_on(line: Written) -> Written:
    """The sentence as `repeat onward …`; itself where it says no such thing."""
    text = line.text
    if not (_LEAD.match(text) and _AS_BEFORE.search(text)) or "*" in text:
        return line
    between, remain, whole = _BETWEEN.search(text), _REMAIN.search(text), _ALL.search(text)
    if between:
        until, end = f"until {between['n']} sts between markers", between.end()
    elif remain:
        until, end = f"until {remain['n']} sts remain", remain.end()
    elif whole:
        until, end = "until all sts have been worked", whole.end()
    else:
        return line
    rest = _TAIL.match(text, end)
    if _ELSEWHERE.search(text, 0, end):
        return line  # "at the neck edge only": not as before
    assert rest is not None  # it may be empty
    if rest.end() < len(text) and text[rest.end()] not in ".;,([-–—":
        return line
    every = _EVERY.search(text, 0, end)
    if every:
        nth = (every["nth"] or ("RS" if every["rs"] else "")).lower()
        nth = "RS" if nth in {"rs", "right side"} else _NTH.get(nth, nth)
        until = f"every {nth} {every['rows'] or 'rows'} {until}".replace("  ", " ")
    spot = line.spot(0)
    return joined(
        [Written.at(f"repeat onward {until}", spot.line, spot.column), line.cut(rest.end())], ""
    )


_TAIL = re.compile(
    r"(?:\s*,?\s*(?:are\s+left|remain(?:ing|s)?|rem|left|in\s+(?:all|total)|(?:left\s+)?on\s+(?:the\s+|your\s+|all\s+)?"
    r"needles?|ending\s+(?:with|after)\s+an?\s+(?:purl|p|knit|k|WS|RS|plain)\s+(?:row|rnd|round)|"
    r"ending\s+(?:with|after)\s+(?:a\s+)?(?:round|row|rnd)\s+\d+)\b)*",
    re.I,
)
