"""Counts after a row in a page's own manner: `k2tog to end (20)`, `k3 38`, `<38 sts>`.

Where nothing on the page is a list of sizes but numbers at the ends of rows, those are counts.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.layout import Laid
from engine.pattern.text.unwrap import LABEL

_AT_END = re.compile(r"(?<=[\w)\]])\s+\((\d+)\)(?=\s*[.;]?\s*$)")
_LIST = re.compile(r"\d\s*\(\s*\d+(?:\s*[,:;/]\s*\d+)*\s*\)")


_BARE = re.compile(
    r"(?:(?<=\b[kp]\d)|(?<=\b[kp]\d\d)|(?<=\bend)|(?<=\baround)|(?<=\bacross))\s+"
    r"(\d{1,3}(?:\s*[(\[]\d{1,3}(?:\s*[,:;]\s*\d{1,3})*[)\]])?)(?:\s*(?:sts|stitches))?(?=\s*\.?$)",
    re.I,
)
"""`K3, purl 32, k3 38`: a count after a stitch that has its number, in a column of its own."""
_MARKED = re.compile(
    r"\s*(?:<\s*(?P<pointed>\d[^<>]*)>|\*\s*(?P<starred>\d+\s*(?:sts?|stitches))\s*\*|/\s*(?P<slashed>\d+\s*sts)\s*/"
    r"|(?:[=~≈-]+>|~|≈)\s*(?P<after>\d[^<>*/]*))\.?$"
)
"""Signs around a count, or before it: `<38 sts>`, `*38 sts*`, `=> 38`."""


def _labelled(line: Laid) -> bool:
    return bool(LABEL.match(line.text)) or line.number is not None


def with_counts(lines: Sequence[Laid]) -> list[Laid]:
    """The lines, with the word or the sign that says of a count what it counts."""
    return _bare(_bracketed([replace(x, words=x.words.sub(_MARKED, _as_count)) for x in lines]))


def _as_count(match: re.Match[str]) -> str:
    said = next(s for s in match.groups() if s).strip()
    return f" ({said})"


def _bare(lines: Sequence[Laid]) -> list[Laid]:
    """With the counts that stand in a column of their own: on one line alone it may be a slip."""
    ends = [_labelled(line) and bool(_BARE.search(line.text)) for line in lines]
    if sum(ends) < 2:
        return list(lines)
    return [
        replace(line, words=line.words.sub(_BARE, r", \1 sts")) if ended else line
        for line, ended in zip(lines, ends, strict=True)
    ]


def _bracketed(lines: Sequence[Laid]) -> list[Laid]:
    ends = [bool(_AT_END.search(line.text) and _labelled(line)) for line in lines]
    if sum(ends) < 2:
        return list(lines)
    for line, ended in zip(lines, ends, strict=True):
        found = _LIST.search(_AT_END.sub("", line.text) if ended else line.text)
        if found:
            return list(lines)
    return [
        replace(line, words=line.words.sub(_AT_END, r" (\1 sts)")) if ended else line
        for line, ended in zip(lines, ends, strict=True)
    ]
