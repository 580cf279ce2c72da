"""Where the sentences of a line begin."""

import re

_STOP = re.compile(r"(?<=[.!?;])[\"')\]]*\s+(?=[A-Z*(\[\"'¿¡])")
_SMALL_STOP = re.compile(
    r"(?<=[a-z)\d][.!])\s+(?=(?:weave|bind|cast|sew|cut|break|join|place|fasten|continue|repeat|"
    r"turn|change|switch|work|knit|purl|block|slip\s+marker|bo|co|then)\s)"
)
"""A page without capitals: `bind off. weave in ends`."""
_ABBREVIATED = re.compile(
    r"\b(?:sts?|beg|rep|tog|ins?|cms?|k|p|sl|alt|foll|rem|rnds?|patt?|cont|dec|inc|fwd|wl|tbl)\.$",
    re.I,
)
"""Before a small letter or a bracket its stop ends no sentence: `garter-st. (every row knit)`."""
_COUNT_STOP = re.compile(
    r"[(\[]\s*=?\s*\d[^()\[\]]{0,30}\b(?:sts?|stitches|loops)\b[^()\[\]\d]{0,20}[)\]]\s+"
    r"(?=(?:This|These|The|That|Your?|Now|Then|Next|From|Note|Here|It|Knit|Purl|Work|Repeat|Continue|Break|Cut|Bind|Cast)\b)"
)
"""A count in brackets ends the sentence: `… k6. (52 sts) This is the new beginning.`"""
_BARE_COUNT = re.compile(r"(?<=[.;])\s*[(\[]\s*\d+\s*[)\]]\s+(?=Next\b|Row\b|Rnd\b|Round\b)")
"""`… to end. (27) Next row: …`"""
_LABEL_STOP = re.compile(
    r"(?<=[a-z)\d]\.)(?<!\brep\.)\s+(?=(?:\d+(?:st|nd|rd|th)(?:\s*(?:and|to|&|-)\s*\d+(?:st|nd|rd|th))?|first|second|third|fourth)\s+(?:row|rnd|round)s?"
    r"\s*(?:[(\[][^)\]]{0,12}[)\]])?\s*[:.–—-])",
    re.I,
)
"""`Cast on 38 sts. 1st row: k2, p2. 2nd row: …`: a label begins a sentence."""
_NO_STOP = re.compile(r"\b(?:no|nos|approx|e\.g|i\.e|vs|us|mr|mrs|dr|size|fig)\.\s*$", re.I)


OFF = (
    r"(?:then\s+)?(?:bo|(?:bind|cast)\s+off)"
    r"(?:\s+(?:all|the|rem(?:aining)?|sts?|stitch(?:es)?|loops?|very|loosely|firmly|evenly|in|patt(?:ern)?|"
    r"rib(?:bing)?|purl|knit|(?:purl|knit|rib)-?wise|[kp]wise|as|set|est\w*))*\s*[.;]?\s*"
)
"""A sentence that binds off all there is, as a regular expression; capitals are free."""


def sentences(text: str) -> list[int]:
    """Where the sentences of a line begin, as far as full stops tell, and where the last ends."""
    cuts = [0]
    stops = [*_STOP.finditer(text), *_SMALL_STOP.finditer(text), *_COUNT_STOP.finditer(text)]
    stops += _BARE_COUNT.finditer(text)
    labels = {stop.end() for stop in _LABEL_STOP.finditer(text)}
    stops += _LABEL_STOP.finditer(text)
    for stop in sorted(stops, key=lambda s: s.end()):
        before, after = text[max(0, stop.start() - 12) : stop.start()], text[stop.end()]
        if stop.end() not in labels and (
            _NO_STOP.search(before) or (not after.isupper() and _ABBREVIATED.search(before))
        ):
            continue
        cuts.append(stop.end())
    return [*dict.fromkeys(cuts), len(text)]
