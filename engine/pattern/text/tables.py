"""Tables of rows and of figures as lines: each row of a table with the label that its columns give.

`| 3 | A | K1, k2tog | 19 |` under `| Row | Colour | What to do | Sts |` is
`Row 3: with A, K1, k2tog, 19 sts`.
"""

import re
from collections.abc import Sequence
from itertools import pairwise

from engine.pattern.text.written import Written, joined

_CELLS = re.compile(r"^\s*\|(.*)\|\s*$")
_RULED = re.compile(r"^\s*\|[\s|:+=-]*\|\s*$")
_FIGURES = re.compile(
    r"^\s*(?!size|age|to\s+fit|bust|chest|head|gauge|tension|(?:row|rnd|round)s?\s*(?:\d|\|))[A-Za-z][^|]*\|\s*\d[\d.½¼¾]*\s*(?:\|\s*\d[\d.½¼¾]*\s*)+$",
    re.I,
)
"""A row of a table of figures: what the instructions say again in words."""
_COUNTER = re.compile(r"\s*(row|rnd|round)s?\b\s*(?:no\.?|number|#)?\s*$", re.I)


_CASTS_ON = re.compile(r"\b(?:cast(?:ing)?[\s-]+on|co)\b[^.;|]{0,25}?\d", re.I)
_CAST_ON_CELL = re.compile(
    r"\s*(?:cast[\s-]+on|co)(?:\s+(?:sts|stitches|loops))?\s*\|(?P<counts>[\s\d|]+)", re.I
)


def _cast_on_row(cells: str) -> str:
    """`Cast on | 64 | 72 | 80` in the usual words; empty for any other row of figures."""
    found = _CAST_ON_CELL.fullmatch(cells)
    if found is None:
        return ""
    first, *others = found["counts"].replace("|", " ").split()
    return f"Cast on {first} ({', '.join(others)}) sts."


_PIPE = re.compile(r"\s*\|\s*")
_WIDE = re.compile(r"\t[\t ]*| {2,}")
_HEADED = re.compile(r"\s*(?:row|rnd|round)s?\s*(?:no\.?|number|#)?\s*(?:\t| {2,})\s*\S", re.I)
_NUMBERED = re.compile(
    r"\s*\d+(?:\s*[-–—&,]\s*\d+)*\s*(?:[(\[]?\b(?:RS|WS)\b[)\]]?)?\s*(?:\t| {2,})\s*\S"
)
_COLOURS = re.compile(r"\s*(?:colou?rs?|yarns?|with|in)\s*$", re.I)
_SIDES = re.compile(r"\s*[(\[]?\s*(RS|WS)\s*[)\]]?\s*$", re.I)
_COUNTS = re.compile(
    r"\s*[(\[]?\s*(\d{1,3}(?:\s*[(\[][\d\s,:;–-]+[)\]])?)\s*(?:sts?|stitches)?\s*[)\]]?\s*$", re.I
)
_LABEL = re.compile(
    r"\s*(?P<rows>\d[\d\s,&–—-]*?)\s*(?P<side>[(\[]?\s*\b(?:RS|WS)\b\s*[)\]]?)?\s*$", re.I
)


def of_tables(lines: Sequence[Written]) -> list[Written]:
    """The rows of a table as lines; where its first column counts rows, with their labels."""
    out: list[Written] = []
    names: list[str] = []
    """The columns' names, where the first of them counts rows."""
    told_in_words = any(_CASTS_ON.search(x.text) and not _CELLS.match(x.text) for x in lines)
    for line, after in pairwise([*lines, Written.at("", 0)]):
        cells = _CELLS.match(line.text)
        if not cells:
            headed = _HEADED.match(line.text) and _NUMBERED.match(after.text)
            if headed:
                names = _WIDE.split(line.text.strip())
                out.append(line.cut(0, 0))
            elif names and _NUMBERED.match(line.text):
                out.append(_row(line.strip(), names, _WIDE))
            else:
                names = []
                out.append(line)
            continue
        if _RULED.match(line.text):
            out.append(line.cut(0, 0))
            continue
        inside = line.cut(cells.start(1), cells.end(1)).strip(" |")
        if _COUNTER.match(cells[1].partition("|")[0]):
            names = _PIPE.split(inside.text)
            out.append(line.cut(0, 0))
        elif _FIGURES.match(cells[1]) and not names:
            out += [_figures(inside, told_in_words=told_in_words), line.cut(0, 0)]
        elif names and inside.text[:1].isdigit() and "|" in inside.text:
            out += [_row(inside, names, _PIPE), line.cut(0, 0)]
        else:
            out += [inside.sub(_PIPE, ": "), line.cut(0, 0)]
    return out


def _figures(inside: Written, *, told_in_words: bool) -> Written:
    """A row of figures: the cast-on where no sentence says it, else a note."""
    spot = inside.spot(0)
    if not told_in_words and (cast_on := _cast_on_row(inside.text)):
        return Written.at(cast_on, spot.line, spot.column)
    return joined([Written.at("Note: ", spot.line, spot.column), inside], "")


def _row(line: Written, names: Sequence[str], apart: re.Pattern[str]) -> Written:
    """A row of a table with its label, its side, its colour and its count, in their usual order."""
    starts = [0, *(m.end() for m in apart.finditer(line.text))]
    ends = [*(m.start() for m in apart.finditer(line.text)), len(line.text)]
    first, *cells = [line.cut(a, b).strip() for a, b in zip(starts, ends, strict=True)]
    label = _LABEL.match(first.text)
    spot = line.spot(0)
    counter = re.match(r"\s*[a-z]+?(?=s?\b)", names[0], re.I)
    if label is None or counter is None or not cells:
        return line
    side = (label["side"] or "").strip(" ()[]")
    colour, count = "", ""
    said: list[Written] = []
    for index, cell in enumerate(cells, 1):
        name = names[index] if index < len(names) else ""
        if _SIDES.match(cell.text):
            side = cell.text.strip(" ()[]")
        elif _COLOURS.match(name):
            colour = cell.text
        elif said and (found := _COUNTS.match(cell.text)):
            count = found[1]
        elif cell.text:
            said.append(cell)
    rows = label["rows"].strip()
    many = "s" if re.search(r"\D", rows) else ""
    begun = f"{counter.group().strip()}{many} {rows}{f' ({side})' if side else ''}: "
    begun += f"with {colour}, " if colour else ""
    end = [Written.at(f", {count} sts", spot.line, spot.column)] if count else []
    parts = [Written.at(begun, spot.line, spot.column), said[0] if said else line.cut(0, 0)]
    for more in said[1:]:
        parts += [Written.at(": ", more.line, more.spot(0).column), more]
    return joined([*parts, *end], "")
