"""Lines that were broken by a page's width, put together again."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from engine.pattern.text.attempt import attempt
from engine.pattern.text.layout import Laid
from engine.pattern.text.sections import headed
from engine.pattern.text.written import Written, joined

_NUMBER = (
    r"(?:\d+|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|"
    r"fifteen|sixteen|seventeen|eighteen|nineteen|twenty)"
)
_ORDINAL = (
    r"(?:\d+(?:st|n?d|rd|th)|first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth|"
    r"eleventh|twelfth)"
)
_ROW = r"(?:rows?|rnds?|rounds?|rds?|rws?|r(?=\s?\d))\.?"
_SIDE = r"(?:RS|WS|right[ -]side|wrong[ -]side)"
LABEL = re.compile(
    rf"""(?:
    (?:[a-z][\w'-]*\s+){{0,2}}{_ROW}\s*\#?{_NUMBER}(?:\s*(?:[-–—,&/+]|to|and|through)\s*
        (?:{_ROW})?\s*\d+)*(?:\s*(?:,|&|and)\s*(?:all|every|each)\b[^:.;]{{0,40}})?
        \s*(?:[(\[][^)\]\n]*[)\]]|,?\s*{_SIDE}\b)?\s*(?:[:)=.]|[-–—]+\s|(?=[*(\[]|[kp]\d|[kp]\s(?:all|to|every|across)|knit|purl|sl\s?1|k$|p$))
    |\d+(?:st|nd|rd|th)\s*:
    |(?:{_ROW})\s*\d+\s*[-–]\s*\d+\s+(?:in\s+)?(?:st[\s-]?st|stoc|garter|moss|seed)
    |{_ORDINAL}(?:\s*(?:[-–—,&]|to|and)\s*{_ORDINAL})*(?:\s*(?:&|and)\s*(?:every|all|each)\b[^:.;]{{0,30}})?
        \s+{_ROW}(?!\w)
    |(?:next|following|foll|last|final)\s+(?:\d+\s+|two\s+|three\s+|four\s+)?(?:{_SIDE}\s+)?{_ROW}\s*(?:[(\[][^)\]\n]*[)\]])?\s*(?:[:.=]|[-–—]+\s)
    |(?:[a-z][\w'-]*[\s-]){{1,3}}(?:row|rnd|round)\s*(?:[(\[][^)\]\n]*[)\]]\s*)?(?:[:=]|[.]?[-–—]+\s)
    |(?:all\s+|every\s+)?(?:{_SIDE}|odd|even)(?:[ -]*numbered)?\s*(?:rows?|rnds?|rounds?)?\s*:
    |(?:(?:every|each)\s+|all\s+)?(?:row|rnd|round)s?\s*:
    |(?:row|rnd|round)\s+(?-i:[A-Z])\s*(?:[:.)]|[(\[][^)\]\n]*[)\]]\s*[:.])
    )""",
    re.X | re.I,
)
"""The beginning of a line that says which row it is."""

_DEFINED = re.compile(
    r"[A-Za-z][\w/&+()]{0,9}(?: [\w/&+]{1,6})?\s*(?:=|\s[–-]\s|:\s(?=[a-z]))"
    r"(?!\s*\d+\s*(?:cm|in|sts))"
)
"""An abbreviation and what it means."""
_STEP = re.compile(r"(?:Back check|Fit check|Finish)\.")
"""A step that our own notation has no more words for."""
_SIZED = re.compile(r"For sizes? [^:.]{1,60}:", re.I)
"""A line of some sizes only."""
_HEADED = re.compile(r"[A-Z][A-Za-z'/&-]*(?: [A-Za-z'/&()0-9-]+){0,4}\s*:(?!\d)")
_VERB = re.compile(
    r"(?:cast|co\b|count|bind|bo\b|knit|purl|[bc]/o\b|rep(?:eat)?\s+(?:r\d|rows?|rnds?|rounds?|these|last|the)|work|"
    r"cont(?:inue)?\b|join|change|switch|break|cut|weave|sew|place|pm\b|shape|next|dec\b|inc\b|"
    r"decrease|increase|pick|using|with|turn|slip|fasten|leave|divide|begin|start|then\b|k\b|p\b|"
    r"you|i\b|this|these|garter\b|st[\s-]st\b|stockinette|moss\b|seed\b|rib\b|for\b|when|if\b|do\s+(?:this|these|the)\b|now\b|keep\b|\d+\.?\s)",
    re.I,
)
_OPEN_WORD = re.compile(
    r"(?:^|[\s(*\[])(?:and|or|to|from|last|rep|repeat|of|the|with|until|till|(?-i:an?)|in|on|at|next|for|"
    r"every|each|by|into|then|as|than|through|within|same|both|using|work|cast|bind|pick|up|"
    r"between|your|this|these|their|is|are|rem|foll|k|p|sl|st|&|\+)$",
    re.I,
)
_WHOLE = re.compile(
    r"[)\]*]\s*,?\s*rep(?:eat)?$|(?:[:=)]|\s[-–—])\s*[kp]$|\b(?:garter|st|moss|seed|rice)[\s-]+st$",
    re.I,
)
"""`Row 6: p` is all of a row, and `st st` the name of a fabric."""
_UNIT = re.compile(r"[\d)\]½¼¾]\s*(?:in|k|p|st)$", re.I)
"""An inch, a count, or the stitch of `1 k`, which is no preposition."""
_ABBREVIATED = re.compile(
    r"(?:^|[\s(*\[,])(?:sts?|beg|rep|tog|ins?|cms?|k|p|sl|alt|foll|rem|rnds?|patt?|cont|dec|inc|no|"
    r"nos|approx|fwd|wl|tbl|meas|mm|oz|gm|grm|e\.g|i\.e|inc|vs|dia|circ)\.$",
    re.I,
)
_STITCHES = re.compile(
    r"[\s*(\[]*(?:[kp]\s?\.?\s?\d|[kp]\d?tog|ssk|ssp|sk2?p|yo\b|yfwd|yrn|m1|kfb|pfb|sl\s?\d|psso|c\d|"
    r"[kp]\s*[,;]|pm\b|sm\b|\*)",
    re.I,
)
_STARRED_REPEAT = re.compile(
    r"[\s*]*rep(?:eat)?\.?\s+(?:from\b|\*|between|to\s|[^.]{0,15}\*)", re.I
)
_CLOSED = re.compile(r"[.!?:][\"')\]*]*$")
_KNOWN_HALVES = re.compile(
    r"(?:gar.?ter|stitch|pat.?tern|begin|remain|repeat|nee.?dle|meas.?ure|stock|marker|pur[cl]|"
    r"knitt?|follow|contin|decreas|increas|together|alter|row|round|between|number|loop|edge)",
    re.I,
)


def unwrapped(lines: Sequence[Laid]) -> list[Laid]:
    """The lines with those that go on put together; empty ones end a paragraph."""
    width = _width(lines)
    small = _small(lines)
    out: list[Laid] = []
    for line in lines:
        if not line.text:
            out.append(line)
            continue
        back = len(out) - 1
        gap = False
        while back >= 0 and not out[back].text and len(out) - back <= 2:
            back -= 1
            gap = True
        if back >= 0 and _label_alone(out[back]) and _below(line):
            label = out[back]
            colon = Written.at(":", label.words.line, len(label.text) + 1)
            text = joined([label.words.strip(" .:–—-"), colon], "")
            out[back:] = [_together(replace(label, words=text, heading=False), line)]
        elif (
            back >= 0 and out[back].text and _goes_on(out[back], line, width, gap=gap, small=small)
        ):
            out[back:] = [_together(out[back], line)]
        else:
            out.append(line)
    return out


def paragraphs(lines: Sequence[Laid]) -> Iterator[tuple[Laid, bool]]:
    """The lines that are not empty, each with whether an empty one stands before it."""
    gap = True
    for line in lines:
        if line.text:
            yield line, gap
        gap = not line.text


def _width(lines: Sequence[Laid]) -> int:
    """Where the page breaks its lines; 0 where nothing tells that it does."""
    lengths = sorted(len(line.text) for line in lines if line.text)
    if len(lengths) < 6:
        return 0
    longest = lengths[-1]
    if longest > 140:
        return 0
    near = sum(1 for n in lengths if n >= 0.85 * longest)
    return longest if near >= max(3, len(lengths) // 8) else 0


def _small(lines: Sequence[Laid]) -> bool:
    """Whether the page is written without capitals: a small letter is no sign of going on."""
    begun = [line.text for line in lines if line.text and line.text[0].isalpha()]
    return len(begun) >= 6 and sum(t[0].islower() for t in begun) >= 0.7 * len(begun)


def _depth(text: str) -> int:
    return sum((c in "([{") - (c in ")]}") for c in text)


def _goes_on(before: Laid, line: Laid, width: int, *, gap: bool, small: bool) -> bool:
    """Whether a line goes on with the one before it."""
    if _stands_apart(before, line, small=small):
        return False
    one, two = before.text, line.text
    open_end = _open(one)
    if LABEL.match(two) and not (open_end and re.match(r"rows?\b", two) and _open_verb(one)):
        return False
    if gap:
        return open_end and (two[0].islower() or two[0] in ")],;") and not LABEL.match(one[-1:])
    told = _told_by_signs(before, line, open_end=open_end)
    if told is None:
        long = bool(width) and len(one) - one.rfind("\n") >= 0.8 * width
        told = _told_by_words(one, line, long=long, small=small)
    return told


def _stands_apart(before: Laid, line: Laid, *, small: bool) -> bool:
    """Whether what a line is, or the one before it, keeps the two apart, however they end."""
    one, two = before.text, line.text
    if before.remark or line.remark or before.heading or line.heading or line.bullet:
        return True
    if _STEP.fullmatch(two) or _DEFINED.match(two) or _SIZED.match(two):
        return True
    if line.indented <= before.indented and _stands_alone(one):
        return True
    return bool(small and _NEW_SENTENCE.match(two)) and not labelled_open(one)


def _told_by_signs(before: Laid, line: Laid, *, open_end: bool) -> bool | None:
    """What a deeper indent, a bracket, an asterisk or an open end says; None where nothing does."""
    one, two, indented = before.text, line.text, before.indented
    headed_by = bool(_HEADED.match(two))
    if line.indented > indented and not (headed_by and not open_end):
        return True
    if (_STARRED_REPEAT.match(two) and "*" in one) or two[0] in ")],;.":
        return True
    if open_end:
        return not (headed_by and (one.endswith(",") or _says_something(line)))
    if headed_by or (two[0].isupper() and headed(two)):
        return False
    return None


def _told_by_words(one: str, line: Laid, *, long: bool, small: bool) -> bool:
    """What the words at the break say, with how far across the page it is."""
    two = line.text
    closed = bool(_CLOSED.search(one)) and not (
        _ABBREVIATED.search(one) and (two[0].islower() or two[0].isdigit())
    )
    labelled, stitches = bool(LABEL.match(one)), bool(_STITCHES.match(two))
    if small and not long and not (labelled and not closed and stitches):
        return False
    if two[0].islower():
        if stitches and labelled:
            return not closed or long
        return not closed and (long or not _VERB.match(two))
    if closed or _VERB.match(two):
        return False
    return (labelled and stitches) or (long and not _says_something(line))


_NEW_SENTENCE = re.compile(
    r"(?:rep(?:eat)?\s+(?:rows?|rnds?|rounds?|r\d|these|last|the)|(?:knit|purl|work|k|p)\s+\d+\s+(?:rows|rnds|rounds)|"
    r"bind\s+off|cast\s+o(?:n|ff)|bo\b|co\b|continue|weave|sew|cut|break|change|join|now\b|then\b|"
    r"do\s+(?:this|these|the)\b|keep\s+(?:doing|going|on|repeating)\b)",
    re.I,
)
"""On a page without capitals, what begins a sentence of its own."""


def labelled_open(text: str) -> bool:
    """Whether a row cannot end where its line does: "repeat from * to"."""
    return bool(re.search(r"(?:\b(?:to|from|last|and|then|the|next|of)|[,*(\[])$", text, re.I))


_ALONE = re.compile(
    rf"(?:(?:next\s+)?(?:row|rnd|round)s?\s*#?\s*{_NUMBER}(?:\s*(?:-|–|to|and|&)\s*\d+)?|{_ORDINAL}\s+(?:row|rnd|round)|"
    rf"(?:next|last|final|set-?up|foundation)\s+(?:row|rnd|round))\s*(?:[(\[][^)\]\d]*[)\]])?\s*[:.–—-]*$",
    re.I,
)


def _label_alone(line: Laid) -> bool:
    """Whether a line is a row's label and nothing else: the row stands below it."""
    return bool(not line.remark and line.text and _ALONE.match(line.text))


def _below(line: Laid) -> bool:
    return not (line.remark or line.heading or LABEL.match(line.text) or _ALONE.match(line.text))


def _stands_alone(text: str) -> bool:
    """Whether a line is a heading and nothing else."""
    head = headed(text)
    return head is not None and head.rest == len(text)


def _says_something(line: Laid) -> bool:
    """Whether a line is a statement of its own."""
    said = attempt(line.words)
    return isinstance(said, tuple) and bool(said)


def _open(text: str) -> bool:
    """Whether it cannot end here: a comma, an open bracket, half a word, a lone 'to'."""
    return (
        text[-1] in ",;&+/(["
        or (text[-1] == "-" and text[-2:-1].isalpha())
        or (0 < _depth(text) <= 2 and len(text) < 2_000)
        or bool(_OPEN_WORD.search(text) and not _UNIT.search(text) and not _WHOLE.search(text))
    )


def _open_verb(text: str) -> bool:
    return bool(re.search(r"(?:rep(?:eat)?|work|as|of|and|through)\.?$", text, re.I))


def _together(before: Laid, line: Laid) -> Laid:
    one, two = before.words, line.words
    before = replace(before, marks=(before.marks[0], before.marks[1] or line.marks[1]))
    if one.text[-1] == "-" and one.text[-2:-1].isalpha() and two.text[0].islower():
        half = re.findall(r"[A-Za-z]+", one.text)[-1] + re.match(r"[a-z]*", two.text).group()  # type: ignore[union-attr]
        if _KNOWN_HALVES.match(half):
            return replace(before, words=joined([one.cut(0, len(one.text) - 1), two], ""))
        return replace(before, words=joined([one, two], ""))
    return replace(before, words=joined([one, two]))
