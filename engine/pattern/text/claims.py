"""Counts in brackets after a row, `k2tog to end (20)`, told from numbers by size.

Where nothing on the page is a list of sizes but numbers at the ends of rows, those are counts.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.layout import Laid
from engine.pattern.text.unwrap import LABEL

_AT_END = re.compile(r"(?<=[\w)\]])\s+\((\d+)\)(?=\s*[.;]?\s*$)")
_LIST = re.compile(r"\d\s*\(\s*\d+(?:\s*[,:;/]\s*\d+)*\s*\)")


def with_counts(lines: Sequence[Laid]) -> list[Laid]:
    """The lines, with the word that says of a count what it counts."""
    ends = [
        bool(_AT_END.search(line.text) and (LABEL.match(line.text) or line.number is not None))
        for line in lines
    ]
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
