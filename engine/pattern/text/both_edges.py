"""Armholes as continental patterns tell them: `rab. de chaque côté, tous les 2 rgs: 3 m, 2 x 1 m`.

Each number is bound off at both edges, one after the other every two rows; so it is
`Bind off 3 sts at beg of next 2 rows. Bind off 1 sts at beg of next 4 rows.` Where it is decreased
and not bound off, each goes at both ends of a row, every other row (common practice, no source).
"""

import re
from collections.abc import Mapping
from functools import partial

_TIMES = r"(?:x|×|mal|fois|veces|vez)"
_THEN = r"(?:then|puis|ensuite|dann|danach|luego|después|noch|encore|nochmals|weitere)"


def edge_rules(table: Mapping[str, str]) -> tuple[re.Pattern[str], ...]:
    """The ways in which a language says it. `table`: its words for off, side, every and stitch."""
    item = rf"(?:\d+\s*{_TIMES}\s+)?(?:je\s+)?\d+\s*(?:{table['stitch']})?"
    every = rf"(?:{table['every']}\s*[:,]?\s*)?"
    off, then = table["off"], rf"(?:{_THEN}\s+)*"
    joint = rf"\s*(?:{off})?\s*(?:[,;+/]|\b(?:und|et|y|e)\b)\s*{then}{every}{then}"
    listed = rf"(?P<list>{item}(?:{joint}{item})*)"
    side = table["side"]
    begun = rf"(?:{every}{side}|{side}\s*[:,]?\s*{every})\s*[:,]?\s*{every}"
    listed += rf"(?:\s*,?\s*{every})?"
    end = r"(?=\s*(?:[.;,(=–—-]|$))"
    return (
        re.compile(rf"\b(?P<verb>{off})\s*{begun}{listed}{end}", re.I),
        re.compile(rf"\b{begun}(?P<verb>{off})\s*[:,]?\s*{listed}{end}", re.I),
        re.compile(rf"\b{begun}{listed}\s*(?P<verb>{off}){end}", re.I),
    )


_ITEM = re.compile(rf"(?:(?P<n>\d+)\s*{_TIMES}\s+)?(?:je\s+)?(?P<sts>\d+)(?!\s*\.)", re.I)


def said_plainly(table: Mapping[str, str]) -> partial[str]:
    """What a match of one of the rules is in this grammar's English."""
    every = re.compile(table["every"], re.I)
    decreases = re.compile(table["decreases"], re.I)
    return partial(_plainly, every, decreases)


def _plainly(every: re.Pattern[str], decreases: re.Pattern[str], match: re.Match[str]) -> str:
    listed = every.sub("", match["list"])
    items = [(int(i["n"] or 1), int(i["sts"])) for i in _ITEM.finditer(listed)]
    if decreases.match(match["verb"]):
        if any(sts != 1 for _, sts in items):
            return match.group()
        times = sum(n for n, _ in items)
        return f"Dec 1 st at each end of next and every other row {times} times in all"
    told = (f"Bind off {sts} sts at beg of next {2 * n} rows" for n, sts in items)
    return ". ".join(told)
