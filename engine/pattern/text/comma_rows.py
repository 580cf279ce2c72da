"""Rows told one after the other between commas: `purl, (k1, k2tog) to end (18), purl, …`.

A row that goes to the end is over there: what stands after the comma is another one.
"""

import re

from engine.pattern.text.written import Written, joined

_COUNT = r"(?:\s*[(\[]\s*\d+\s*(?:sts?)?\s*[)\]])?"
_WHOLE = re.compile(
    r"(?:[*(\[]|k\b|k\d|knit\b|p\b|p\d|purl\b|kfb|pfb|ssk|work\b|rib\b).*"
    rf"\b(?:to\s+(?:the\s+)?end|across|(?:all\s+)?along|around){_COUNT}",
    re.I,
)
_PLAIN = re.compile(r"(?:knit|purl|k|p)(?:\s+(?:1|one|a)\s+row)?", re.I)
_ROWS = re.compile(
    r"(?:(?:work\s+(?:in\s+)?)?(?P<fabric>st[\s-]st|garter(?:\s+st)?)\s+(?:for\s+)?(?P<n>\d+)\s+rows|"
    r"(?:knit|purl|k|p|work)\s+\d+\s+rows(?:\s+(?:in\s+)?(?:st[\s-]st|garter(?:\s+st)?))?)",
    re.I,
)
_BEGINS = re.compile(r"(?:cast\s+on|co)\s+\d+(?:\s*(?:sts|stitches))?", re.I)
_ENDS = re.compile(
    r"(?:fasten\s+off|(?:bind|cast)\s+off|(?P<draw>(?:thread|draw|pull|run)\s+(?:(?:the\s+)?(?:yarn|wool|end|tail)\s+)?through))"
    r"(?:\s+(?:the\s+)?(?:all\s+)?(?:sts|stitches))?",
    re.I,
)
_ALONG = re.compile(r"\b(?:all\s+)?along(?=\s*(?:[(\[]|$))", re.I)
_LEAD = re.compile(r"(?!rows?\b|rnds?\b|rounds?\b|next\b)[A-Za-z][A-Za-z ]{2,20}:\s*", re.I)


def comma_rows(words: Written) -> list[Written]:
    """Each row as a sentence of its own; none where the commas part anything else."""
    lead = _LEAD.match(words.text)
    clauses = _clauses(words.cut(lead.end() if lead else 0).strip(" .;"))
    rows = [c for c in clauses if _WHOLE.fullmatch(c.text) or _ROWS.fullmatch(c.text)]
    if len(clauses) < 3 or not rows or not any(_WHOLE.fullmatch(c.text) for c in clauses[:-1]):
        return []
    said = [_sentence(c, first=not i, last=i + 1 == len(clauses)) for i, c in enumerate(clauses)]
    return [s for s in said if s] if all(said) else []


def _clauses(words: Written) -> list[Written]:
    """What stands between the commas that are in no bracket."""
    found, depth, begun = [], 0, 0
    for at, sign in enumerate(words.text):
        depth += (sign in "([") - (sign in ")]")
        if sign in ",;" and not depth:
            found.append(words.cut(begun, at).strip(" ,;"))
            begun = at + 1
    return [*found, words.cut(begun).strip(" ,;")]


def _sentence(clause: Written, *, first: bool, last: bool) -> Written | None:
    """A clause as the grammar has it; None for one that is no row of its own."""
    spot = clause.spot(0)
    before = Written.at("next row: ", spot.line, spot.column)
    if rows := _ROWS.fullmatch(clause.text):
        if rows["fabric"]:
            told = f"work {rows['n']} rows in {rows['fabric']}"
            return Written.at(told, spot.line, spot.column)
        return clause
    if _WHOLE.fullmatch(clause.text) or _PLAIN.fullmatch(clause.text):
        return joined([before, clause.sub(_ALONG, "to end")], "")
    if first and _BEGINS.fullmatch(clause.text):
        return clause
    if last and (end := _ENDS.fullmatch(clause.text)):
        drawn = Written.at("draw yarn through remaining sts", spot.line, spot.column)
        return drawn if end["draw"] else clause
    return None
