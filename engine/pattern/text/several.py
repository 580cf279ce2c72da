"""Several rows in one short sentence: written out as a sentence each, or the last one apart."""

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from engine.pattern.text.statements import Even, OnLast, Repeat, ShapeRows, Statement
from engine.pattern.text.written import Written, joined

Read = Callable[[Written], tuple[Statement, ...] | Exception]

_COUNTS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_ROWS = r"(?P<rows>rows?|rnds?|rounds?)"
_LISTED = re.compile(
    rf"^(?:the\s+)?(?:last|next|final|following|foll)\s+(?P<count>\w+)\s+{_ROWS}\s*[:–-]\s*"
    r"(?P<list>(?:knit|purl|k|p)(?:\s*(?:,|and|then)+\s*(?:knit|purl|k|p))+)\s*\.?$",
    re.I,
)
"""`last 3 rounds: purl, knit, purl`"""
_EACH = re.compile(
    r"^(?:(?:,|;|and|then|\s)*(?:knit|purl|k|p)\s+(?:1|one|a)\s+(?:row|rnd|round)){2,8}\s*\.?$",
    re.I,
)
"""`purl a round, knit a round, purl a round`"""
_ONE = re.compile(r"(knit|purl|k|p)\s+(?:1|one|a)\s+(row|rnd|round)", re.I)
_PAIRED = re.compile(
    r"^[(\[*]?\s*(?P<one>knit|purl|k|p)\s+(?:1|one|a)\s+(?P<rows>row|rnd|round)\s*(?:,|and|then)+\s*"
    r"(?P<two>knit|purl|k|p)\s+(?:1|one|a)\s+(?:row|rnd|round)\s*[)\]*]?\s*[,;:]?\s*"
    r"(?:(?P<twice>twice)|(?:repeat\s+)?(?P<times>\w+)\s+(?:(?P<more>more)\s+)?times(?P<after>\s+more)?)"
    r"\s*\.?$",
    re.I,
)
"""`purl 1 rnd, knit 1 rnd, 3 times`"""


_EVERY_ROW = re.compile(
    r"^(?:[a-z ]{3,20}:\s*)?(?P<row>(?:[kp](?=\d|\s)|k2tog|ssk|p2tog|kfb|sl|slip|yo|knit|purl)"
    r"[^.;:]*?[,\d\w][^.;:]*?\bto\s+(?:the\s+)?(?:end|last\b[^.;:]*?,[^.;:]*?))\s*,?\s+(?:on\s+|of\s+)?(?:every|each)\s+"
    r"(?P<rows>row|rnd|round)\s+(?P<until>(?:until|till|for)\b.*)$",
    re.I,
)
"""`K2tog, k to end every row until 2 sts remain`: the row, and how often."""


_BETWEEN_STARS = re.compile(
    r"^(?:[a-z ]{3,20}:\s*)?\*\s*(?P<row>[^*]+?\bto\s+(?:the\s+)?(?:end|last\b[^*]*?))"
    r"\s*[.;,]?\s*\*\s*[.;,]?\s*"
    r"rep(?:eat)?\.?\s+(?:between|from)\s+(?:the\s+)?(?:\*['’]?s|\*\s*(?:to|and|-)\s*\*|\*|stars|asterisks)\s+"
    r"(?P<until>(?:until|till)\b.*)$",
    re.I,
)
"""`*K2, yo, knit to end* Repeat between *'s until there are 44 stitches`: a row in stars."""
_THEN_MORE = re.compile(
    r"^(?P<first>(?:cont(?:inue)?|keep|carry\s+on|go\s+on|rep(?:eat)?)\b[^.;*]*?\b(?:until|till)\s+"
    r"(?:there\s+are\s+|you\s+have\s+)?\d+(?:\s*[(\[][\d\s,:;–-]+[)\]])?\s*(?:sts?|stitches)\b\.?"
    r"(?:\s+(?:remain|rem|are\s+left|left))?)\s*,\s*(?:and\s+)?then\s+(?P<then>[*(\[kp].*)$",
    re.I,
)
"""`Continue like this until 30 sts remain, then *k2tog* around`."""


_BACK_AGAIN = re.compile(
    r"^(?:divide\s+for\s+(?:the\s+)?thumb\s*[:.,]\s*)?(?:next\s+row\s*:\s*)?"
    r"(?P<there>k\s?\d+(?:\s*[(\[][\d\s,:;–-]+[)\]])?)\s*[,;.]\s*turn\s*[,;.]?\s*(?:and\s+)?(?:next\s+row\s*:\s*)?"
    r"(?P<back>p\s?\d+(?:\s*[(\[][\d\s,:;–-]+[)\]])?)\s*[,;.]\s*turn\s*(?:[,;.]\s*(?P<then>(?:work|cont|knit|on)\w*\s.*?))?\s*[:.]?$",
    re.I,
)
"""`K22, turn, P8, turn, working on these 8 sts only`"""


def written_out(words: Written) -> list[Written]:
    """The sentences that it stands for; none where it is one."""
    if turned := _BACK_AGAIN.match(words.text):
        rows = [words.cut(*turned.span(name)) for name in ("there", "back")]
        lead = [Written.at("next row: ", r.line, r.spot(0).column) for r in rows]
        ends = Written.at(", turn", words.line, words.spot(turned.end("there")).column)
        then = [words.cut(*turned.span("then"))] if turned["then"] else []
        return [*(joined([a, r, ends], "") for a, r in zip(lead, rows, strict=True)), *then]
    if every := _EVERY_ROW.match(words.text):
        body, end = words.cut(*every.span("row")), words.spot(every.start("until"))
        again = Written.at(f"repeat last {every['rows']} ", end.line, end.column)
        first = Written.at(f"next {every['rows']}: ", body.spot(0).line, body.spot(0).column)
        return [joined([first, body], ""), joined([again, words.cut(every.start("until"))], "")]
    if between := _BETWEEN_STARS.match(words.text):
        body, end = words.cut(*between.span("row")), words.spot(between.start("until"))
        first = Written.at("next row: ", body.spot(0).line, body.spot(0).column)
        again = Written.at("repeat last row ", end.line, end.column)
        return [joined([first, body], ""), joined([again, words.cut(between.start("until"))], "")]
    listed, paired = _LISTED.match(words.text), _PAIRED.match(words.text)
    if listed:
        stitches = re.findall(r"\b(?:knit|purl|k|p)\b", listed["list"], re.I)
        if _number(listed["count"]) != len(stitches):
            return []
        said = [f"{stitch} 1 {listed['rows'].rstrip('s')}." for stitch in stitches]
    elif _EACH.match(words.text):
        said = [f"{verb} 1 {row}." for verb, row in _ONE.findall(words.text)]
    elif offs := _OFFS.match(words.text):
        cuts = [0, *(m.end() for m in _AND_OFF.finditer(words.text)), len(words.text)]
        if len(cuts) < 3:
            return []
        stretches = [words.cut(a, b).strip(" ,;.") for a, b in pairwise(cuts)]
        verb = words.cut(0, offs.end("verb"))
        return [
            joined(
                [
                    *([verb] if i and stretch.text[0].isdigit() else []),
                    stretch.cut(0, len(_ENDING_AND.sub("", stretch.text))),
                ]
            )
            for i, stretch in enumerate(stretches)
        ]
    elif paired:
        times = 2 if paired["twice"] else _number(paired["times"])
        more = times if paired["more"] or paired["after"] else (times or 0) - 1
        if not times or more is None:
            return []
        row = paired["rows"]
        said = [f"{paired['one']} 1 {row}.", f"{paired['two']} 1 {row}."]
        said += [f"repeat last 2 {row}s {more} times more."] if more else []
    else:
        return []
    spot = words.spot(0)
    return [Written.at(text, spot.line, spot.column) for text in said]


_WHEN = re.compile(
    r"^(?:(?:now|then)\s+)?(?:when|once)\s+(?P<subject>(?:[a-z]+\s+){1,4}?)(?:measures|is|reaches)\s+(?:about\s+|approx\.?\s+)?"
    r"(?P<length>\d[\d.½¼¾]*(?:\s*[(\[][\d\s,:;.½¼¾-]+[)\]])?\s*(?:cms?|ins?|inch(?:es)?|[\"”″]))\.?"
    r"(?:\s+(?:long|deep|high|from\s+(?:the\s+)?(?:beg(?:inning)?|cast[\s-]on(?:\s+edge)?|start)))*\s*[,:;]\s*(?=\S)|"
    r"^(?:(?:now|then)\s+)?(?:after|at|in)\s+(?:a\s+)?(?:(?:total\s+)?(?:height|length)\s+of\s+)?(?:about\s+)?"
    r"(?P<length2>\d[\d.½¼¾]*(?:\s*[(\[][\d\s,:;.½¼¾-]+[)\]])?\s*(?:cms?|ins?|inch(?:es)?|[\"”″]))\.?(?:\s+(?:total\s+|in\s+)?(?:height|length|all|total)\b|\s+from\s+(?:the\s+)?(?:beg(?:inning)?|cast[\s-]on(?:\s+edge)?|start))*"
    r"(?:\s*[,:]\s*|\s+(?=(?:knit|work|purl|bind|cast|dec|inc)\w*\b))(?:start\s+(?:the\s+)?decreas(?:ing|es)\s*:\s*)?(?=\S)",
    re.I,
)
"""`When work measures 12 cm, knit 1 row`: until then it goes on."""


_WHEN_ENDS = re.compile(
    r"(?P<how>(?:end|finish)(?:ing)?\s+(?:with|on|after)\s+(?:an?\s+)?"
    r"(?:RS|WS|right[\s-]side|wrong[\s-]side|purl|knit|p|k)\s+row)\s*[,:;]\s*(?=\S)",
    re.I,
)
"""`When work measures 12 cm, ending with a WS row, shape armholes`."""


_THEN_EVERY = re.compile(
    r"^(?P<first>(?:cont(?:inue|inuing)?|keep|carry\s+on)\b[^.;]*?\b(?:until|till)\s+(?:there\s+are\s+|you\s+have\s+)?\d+\s*"
    r"(?:sts?|stitches)\b\.?(?:\s+(?:remain|rem|are\s+left|left))?)\s*,?\s*(?:and\s+)?then\s+(?:(?:dec|inc)\w*\s+)?(?:on\s+)?"
    r"(?P<then>every\s+(?:row|rnd|round)\s+(?:until|till)\s+\d.*)$",
    re.I,
)
"""`… every other round until 36 sts remain, then decrease every round until 6 sts remain`"""
_IN_FABRIC = re.compile(
    r"^(?P<lead>(?:work|continue|cont)\s+in\s+[^:;,.]{3,40})[:;,.]\s*(?=(?:at|when|after|once)\b)",
    re.I,
)


_ON_FIRST = re.compile(
    r"^(?P<verb>(?:work|knit)\s+)(?P<n>\d+)\s+(?P<rows>rows|rnds|rounds)\s+(?P<how>[^,;.]{0,30}?)\s*,\s*(?P<shape>(?:inc|dec)\w*\s+\d+(?:\s*[(\[][\d\s,:;]+[)\]])?\s*(?:sts|stitches))"
    r"(?:\s+evenly)?(?:\s+spaced)?\s+(?:across|on|in|over|along)\s+(?:the\s+)?(?:first|1st)\s+(?:row|rnd|round)\s*[.]?$",
    re.I,
)


def first_shaped(words: Written) -> list[Written]:
    """`Work 70 rows st st, inc 2 sts on the first row` as two sentences; none for another."""
    found = _ON_FIRST.match(words.text)
    if found is None or int(found["n"]) < 2:
        return []
    shape, begun = words.cut(*found.span("shape")), words.spot(0)
    end = words.spot(found.end("shape"))
    row = found["rows"].rstrip("s")
    first = joined([shape, Written.at(f" evenly across next {row}", end.line, end.column)], "")
    rest = f"{found['verb']}{int(found['n']) - 1} {found['rows']} {found['how']}".strip()
    return [first, Written.at(rest, begun.line, begun.column)]


def until_then(words: Written) -> list[Written]:
    """`When work measures 12 cm, knit 1 row` as two sentences; none for another."""
    paced = _THEN_EVERY.match(words.text) or _THEN_MORE.match(words.text)
    if paced:
        return [words.cut(0, paced.end("first")), words.cut(paced.start("then"))]
    lead = _IN_FABRIC.match(words.text)
    if lead:
        rest = until_then(words.cut(lead.end()))
        return [words.cut(0, lead.end("lead")), *rest] if rest else []
    when = _WHEN.match(words.text)
    if when is None:
        return []
    spot = words.spot(0)
    until = Written.at(f"work even until {_measured(when)} measures ", spot.line, spot.column)
    length = "length" if when["length"] else "length2"
    measured = joined([until, words.cut(*when.span(length))], "")
    ended = _WHEN_ENDS.match(words.text, when.end())
    if ended:
        how = words.cut(*ended.span("how"))
        return [joined([measured, how], ", "), words.cut(ended.end())]
    return [measured, words.cut(when.end())]


def _measured(when: re.Match[str]) -> str:
    named = [w for w in (when["subject"] or "").split() if w.lower() not in {"the", "your", "this"}]
    return " ".join(named) or "piece"


_SO_MANY = r"\d+(?:\s*[(\[][\d\s,:;–-]+[)\]])?"
_OFFS = re.compile(
    rf"^(?P<verb>(?:bind|cast)\s+off|bo)\s+{_SO_MANY}\s*(?:sts?\b|stitch|loop)", re.I
)
_AND_OFF = re.compile(
    rf"(?:\s*,\s*(?:and\s+)?(?:then\s+)?|\s+(?:and|then)\s+(?:then\s+)?)(?={_SO_MANY}\s*(?:(?:sts?\.?|stitch(?:es)?|loops?)\s+)?at\s+(?:the\s+)?beg)"
    r"|\s*[,;]\s*(?:and\s+)?(?:then\s+)?(?=(?:dec(?:rease)?|inc(?:rease)?|k\.?\s*2\.?\s*tog)\b)",
    re.I,
)
_ENDING_AND = re.compile(r"[\s,;]*(?:\band\b|\bthen\b|[\s,;])*$", re.I)
"""`cast off 6 sts at beg of next 2 rows, then 5 sts at beg of foll 2 rows`"""
_ON_LAST = re.compile(
    r"\s*,?\s*(?:and\s+|at\s+the\s+same\s+time\s+)*"
    r"(?P<shape>(?:inc|dec)\s+\d+(?:\s*[(\[][\d\s,:;]+[)\]])?\s*sts?)(?:\s+evenly)?(?:\s+spaced)?\s+"
    r"(?:(?:at|in)\s+(?:the\s+)?(?:cent(?:er|re)|middle|end|beg(?:inning)?|each\s+end)\s+of|across|on|in|over|along|during|"
    r"evenly\s+across)\s+(?:the\s+)?last\s+(?:rib\s+|ws\s+)?"
    r"(?:row|rnd|round)(?:\s+of\s+rib\w*)?",
    re.I,
)
"""`work in rib for 6 cm, inc 6 sts evenly across last row`"""


_COUNTED = re.compile(
    r"\s*[-–—:.;,(]*\s*(?P<count>\d+(?:\s*[(\[][\d\s,:;–-]+[)\]])*\s*(?:sts|stitches|loops))\)?\s*\.?$",
    re.I,
)
"""`… last row - 81 (89, 97) sts.`"""


def shaped_last(whole: Written, read: Read) -> tuple[Statement, ...]:
    """Rows of which the last one is shaped; none where it says no such thing."""
    found = _ON_LAST.search(whole.text)
    if found is None:
        return ()
    spot = whole.spot(found.start("shape"))
    evenly = Written.at(" evenly", spot.line, spot.column)
    counted = _COUNTED.match(whole.text, found.end())
    after = whole.cut(counted.end() if counted else found.end())
    rows = read(joined([whole.cut(0, found.start()), after], ""))
    claim = read(whole.cut(*counted.span("count"))) if counted else ()
    shape = read(joined([whole.cut(*found.span("shape")), evenly], ""))
    if isinstance(rows, tuple) and isinstance(shape, tuple) and rows and shape:
        first, shaped = rows[0], shape[0]
        if isinstance(first, (Even, Repeat)) and isinstance(shaped, ShapeRows):
            told = claim if isinstance(claim, tuple) else ()
            return (replace(first, last=shaped), *rows[1:], *told)
    return ()


def on_last(words: Written, read: Read) -> tuple[Statement, ...]:
    """`Inc 8 sts evenly on last round. 104 sts.` as a sentence of its own; none for another."""
    found = _ON_LAST.match(words.text)
    if found is None:
        return ()
    counted = _COUNTED.match(words.text, found.end())
    if words.text[found.end() :].strip(" .") and not counted:
        return ()
    spot = words.spot(found.start("shape"))
    evenly = Written.at(" evenly", spot.line, spot.column)
    shape = read(joined([words.cut(*found.span("shape")), evenly], ""))
    claim = read(words.cut(*counted.span("count"))) if counted else ()
    if not isinstance(shape, tuple) or not isinstance(shape[0], ShapeRows):
        return ()
    return (OnLast(shape[0], spot), *(claim if isinstance(claim, tuple) else ()))


def _number(word: str) -> int | None:
    if word.isdigit():
        return int(word)
    return _COUNTS.index(word.lower()) if word.lower() in _COUNTS else None
