"""A sentence about rows in any order and in any author's words, as the grammar says it.

`Keep going like this until your ribbing is about 5 cm tall, ending after a wrong side row` is
`repeat these rows until ribbing measures 5 cm, ending with a WS row`. Each word must belong to a
part that is known (`stretch_parts`), or be one that never counts (`stretch.toml`, with the
reasons); one word more, and the sentence is not this module's.
"""

import re
import tomllib
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

from engine.pattern.text.stretch_parts import FROM, MANY, PARTS, WORDS
from engine.pattern.text.written import Written, joined


@dataclass
class _Said:
    """The parts of a sentence that were met."""

    line: Written
    verb: str = ""
    knits: str = ""
    """`keep knitting`: its second verb."""
    every: bool = False
    """`every round`: then it is knit; `keep knitting` alone may be as before."""
    even: bool = False
    style: str = ""
    rows: str = ""
    as_before: bool = False
    patterned: str = ""
    border: str = ""
    spans: list[tuple[str, Written]] = field(default_factory=list)
    """How long: its kind, or the words before a length, and the number or the length."""
    about: Written | None = None
    """How many rows it says that this is."""
    about_all: str = ""
    from_beg: bool = False
    on: Written | None = None
    """How many loops it is worked on, which is to be all there are."""
    since: str = ""
    """Where a length is measured from that is no beginning."""
    ending: str = ""
    more: str = ""


@cache
def _skip() -> re.Pattern[str]:
    text = files("engine.pattern.text").joinpath("stretch.toml").read_text(encoding="utf-8")
    return re.compile("|".join(tomllib.loads(text)["skip"]), re.I)


_COUNTS = re.compile(rf"\d|[½¼¾]|\b(?:{WORDS}|once|twice|back|front)\b", re.I)
_GAP = re.compile(
    r"(?:[\s,;:–—)]|-(?=\s)|and\b(?!\s+(?:ending|finish|end))|then\b|to\b(?=\s+(?:repeat|work|knit|purl)\b))+",
    re.I,
)
_BEGUN = re.compile(r"(?:now|then|next|from\s+here(?:\s+on)?|after\s+(?:that|this))\b[\s,]*", re.I)
_ROW_WORD = re.compile(r"\b(rows?|rnds?|rounds?)\s*(?=\d)", re.I)


def stretched(line: Written) -> Written | None:
    """The sentence as the grammar reads it; None where it says anything else."""
    text = line.text.rstrip(" .!;,")
    if not _COUNTS.search(text):
        return None
    said, at = _Said(line), 0
    while at < len(text):
        gap = _GAP.match(text, at)
        end = gap.end() if gap else _next(said, text, at)
        if end is None:
            return None
        at = end
    return _told(said)


def _next(said: _Said, text: str, at: int) -> int | None:
    """Where the part ends that begins here; None for one that is not known."""
    for name, pattern in PARTS.items():
        if not said.verb and name != "verb":
            continue
        found = pattern.match(text, at)
        if found and found.end() > at and _take(said, name, found):
            return found.end()
    begun = _BEGUN.match(text, at) if not said.verb else None
    passed = begun or _skip().match(text, at)
    return passed.end() if passed and passed.end() > at else None


def _take(said: _Said, name: str, found: re.Match[str]) -> bool:
    """Keep a part; False where the sentence has one of its kind already."""
    cut = said.line.cut
    if name == "about":
        said.about = cut(*found.span("number"))
        said.about_all = " in all" if found["all"] else ""
        return True
    if name == "on":
        said.on = cut(*found.span("on"))
        return True
    if name in {"as long", "measures", "for", "until rows", "until sts", "times", "once", "rows"}:
        if said.spans:
            return False
        group = {"measures": "length", "for": "length", "once": "once", "as long": "of"}.get(
            name, "number"
        )
        kind = _subject(said, found) if name == "measures" else "for " if name == "for" else name
        groups = found.groupdict()
        more = any(groups.get(g) for g in ("more", "more2", "more3"))
        in_all = any(groups.get(g) for g in ("all", "total"))
        said.more = " more" if more else " in all" if in_all else ""
        said.more = " to armhole" if groups.get("arm") else said.more
        if groups.get("fabric"):  # "16 rows of ribbing" are of these rows alone
            kind, said.more = "rows", " in all"
        said.spans.append((kind, cut(*found.span(group))))
        return bool(kind)
    if name in {"numbered", "named", "last"}:
        if said.rows:
            return False
        said.rows = _rows_of(name, found)
    elif name in {"rib", "fabric"}:
        if said.style:
            return False
        said.style = f"k{found['k']}, p{found['p']} rib" if name == "rib" else found["said"]
    elif name == "patterned":
        said.patterned = found["quoted"] or "patt"
    elif name == "border":
        said.border = found["n"] or str(MANY.get(found["m"].lower(), found["m"]))
    elif name == "ending":
        said.ending = _ending(found)
    elif name == "since":
        said.since = "rib" if found["rib"] else "armhole"
    elif name == "verb":
        return _verb(said, found["verb"].lower().rstrip("."))
    else:
        setattr(said, name.replace(" ", "_"), True)
    return True


_PLAIN = {"the", "your", "this", "whole", "now", "piece", "entire", "back", "side", "of"}
_WEAK = ("keep", "cont", "carry", "go", "proceed", "work")
_KNITS = {
    "knit": "knit", "knitting": "knit", "k": "knit", "purl": "purl", "purling": "purl", "p": "purl",
}  # fmt: skip


def _subject(said: _Said, found: re.Match[str]) -> str:
    """The words before the length; what is measured is kept, for it may begin elsewhere."""
    words = re.findall(r"[a-z]+", re.sub(FROM, "", found["subject"] or "", flags=re.I).lower())
    said.from_beg = said.from_beg or bool(re.search(FROM, found.group(), re.I))
    subject = " ".join(w for w in words if w not in _PLAIN)
    return f"until {subject or 'piece'} measures "


def _rows_of(name: str, found: re.Match[str]) -> str:
    if name != "last":
        return _ROW_WORD.sub(r"\1 ", found["said"])
    if found["count"]:
        return f"last {found['count']} rows"
    return "these rows" if found["unit"].lower().endswith("s") else "last row"


def _verb(said: _Said, verb: str) -> bool:
    """`keep going`, `continue to repeat`: one verb in two words; `knit 2 rounds and work`, no."""
    if not said.verb:
        said.verb = verb
        return True
    if not said.verb.startswith(_WEAK) or said.spans or said.rows or said.style:
        return False
    if verb.startswith("rep"):
        said.verb = verb
    elif verb in _KNITS:
        said.knits = verb
    return True


def _ending(found: re.Match[str]) -> str:
    row = found["row"] or found["nth"]
    if row:
        return f", ending with row {row}"
    kind = "RS" if found["rs"] else "WS" if found["ws"] else "knit" if found["k"] else "purl"
    return f", ending with a {kind} row"


_RIBS = {"rib", "ribbing", "cuff", "brim", "hem", "welt"}


def _since(kind: str, since: str) -> str:
    """A length from the rib or the armhole on; empty where it says neither clearly."""
    if not kind.startswith("until ") or not kind.endswith(" measures "):
        return ""
    subject = kind.removeprefix("until ").removesuffix(" measures ")
    if since == "rib":
        return "" if subject in _RIBS else "until part above rib measures "
    return kind if subject in {"body", "sleeve", "sleeves"} else "until armhole measures "


def _what(said: _Said) -> str:
    """What is worked; empty where it is not clear."""
    before = said.as_before and not (said.style or said.even)
    if said.rows or said.verb.startswith("rep") or before:
        if said.style or said.even or said.border or said.every:
            return ""
        rows = said.rows or ("these rows" if before or said.patterned else "")
        verb = "work" if said.verb == "work" and rows[-1:].isdigit() else "repeat"
        return f"{verb} {rows}" if rows else ""
    stitch = _KNITS.get(said.verb, "")
    if said.knits and (said.every or said.style or said.even):
        stitch = _KNITS[said.knits]
    if said.every and not stitch:
        return ""
    plain = said.even or said.style or said.border
    what = stitch or ("work" if plain else "continue")
    what += " even" if said.even and not stitch else ""
    what += f" in {said.style}" if said.style else ""
    what += f" in {said.patterned}" if said.patterned and not said.style else ""
    return what + (f" with border of {said.border} sts" if said.border else "")


def _told(said: _Said) -> Written | None:
    what = _what(said)
    if len(said.spans) != 1 or not what:
        return None
    kind, number = said.spans[0]
    if said.since:
        kind = _since(kind, said.since)
    if not kind or (
        kind in {"times", "once", "until sts"} and not said.rows and not what.startswith("repeat")
    ):
        return None
    before, after = {
        "until rows": ("until ", " rows worked"),
        "until sts": ("until ", " sts remain"),
        "times": ("", f" times{said.more}"),
        "once": ("", said.more),
        "as long": ("until as long as ", said.more),
        "rows": ("for ", f" rows{said.more}"),
    }.get(kind, (kind, " from beg" if said.from_beg and kind.startswith("until") else ""))
    if said.about and kind in {"until rows", "until sts", "as long", "rows"}:
        return None
    spot, end = said.line.spot(0), number.spot(len(number.text))
    return joined(
        [
            Written.at(f"{what} {before}", spot.line, spot.column),
            number.sub(_MORE, " "),
            Written.at(after, end.line, end.column),
            *_rows_said(said),
            Written.at(said.ending, end.line, end.column),
            *_worked_on(said),
        ],
        "",
    )


def _rows_said(said: _Said) -> list[Written]:
    """`… (20 rows)`, which a length comes to, or so many times."""
    if said.about is None:
        return []
    begun, ended = said.about.spot(0), said.about.spot(len(said.about.text))
    return [
        Written.at(" (", begun.line, begun.column),
        said.about,
        Written.at(f" rows{said.about_all})", ended.line, ended.column),
    ]


def _worked_on(said: _Said) -> list[Written]:
    """`… on the centre 18 sts` as a count after it: where there are others, it is asked."""
    if said.on is None:
        return []
    begun, ended = said.on.spot(0), said.on.spot(len(said.on.text))
    return [
        Written.at(" there are ", begun.line, begun.column),
        said.on,
        Written.at(" sts", ended.line, ended.column),
    ]


_MORE = re.compile(r"\s*-?\s*more\s+", re.I)
