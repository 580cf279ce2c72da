"""The pattern's own abbreviations: read where they are explained, and used where they stand."""

import re
import tomllib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

from lark.exceptions import LarkError

from engine.pattern.text.grammar import parse
from engine.pattern.text.row_items import Row, Stitch
from engine.pattern.text.spelling import Rules, applied, respelled
from engine.pattern.text.statements import RowLine
from engine.pattern.text.written import Written

_ENTRY = re.compile(
    r"^\s*(?P<name>[A-Za-z][\w/&+]*(?:[ .-]?[\w/&+]+){0,2}?)\.?\s*"
    r"(?:=|:|\s[-–—]+\s|[–—]|,\s(?=[a-z])|\s{2,}|\t)\s*(?P<meaning>[^\s=].*)$"
)
_APART = re.compile(r"[;\n]|\.\s+(?=[A-Za-z][\w/]{0,8}\s*[=:])|,\s*(?=[A-Za-z][\w/ .-]{0,9}\s*=)")
_STITCH_WORD = re.compile(r"\s*\(.*?\)|\s+(?:stitch|st|pattern|patt)\.?$", re.I)
_CALLED = r"(?:\s+(?:pattern|patt|stitch|sts?)\b)*(?![\w:])"
_COMMON_STITCH = re.compile(
    r"(?:stitch|st|pattern|rib|ribbing|garter|stockinette|stocking|stocking stitch|moss|seed|"
    r"st st|notes?)$",
    re.I,
)
_SHAPED = (
    r"(?!\s*\d*\s*(?:sts?|stitch(?:es)?|loops?)?\s*"
    r"(?:evenly|at\b|on\b|every\b|\d|row|rnd|round|to\b))"
)
"""`inc 1 st at each end` is a phrase of its own, whatever `inc` is."""


@cache
def _plain_words() -> dict[str, str]:
    """What an abbreviation may stand for besides stitches, and how the grammar writes it."""
    text = files("engine.pattern.text").joinpath("spelling.toml").read_text(encoding="utf-8")
    words: dict[str, str] = tomllib.loads(text)["meanings"]
    return words


def definitions_in(text: str) -> dict[str, str]:
    """Abbreviations that a line explains, with what it says of them."""
    found: dict[str, str] = {}
    for entry in _APART.split(text):
        match = _ENTRY.match(entry)
        if match and len(match["name"]) <= 14:
            found[match["name"].strip()] = match["meaning"].strip(" .;,")
    return found


_EQUATION = re.compile(r"^\s*[A-Za-z][\w/+-]*(?:\s[\w/+-]+){0,2}\s*=\s*(?=[a-z])", re.I)


def defines(text: str) -> bool:
    """Whether a line is an abbreviation and what it means, wherever it stands: `FC = sl 2 to …`."""
    return bool(_EQUATION.match(text)) and bool(definitions_in(text))


@dataclass(frozen=True)
class Terms:
    """What a pattern calls things, as rules of spelling."""

    meanings: dict[str, str] = field(default_factory=dict)
    rules: Rules = ()
    before: Callable[[Written], Written] | None = None
    """Another language's words, made this grammar's, before everything else."""
    described: frozenset[str] = frozenset()
    """The charts and stitches whose rows are written, by their names in small letters."""

    def spelled(self, line: Written) -> Written:
        """A line in the grammar's spelling, with the pattern's own words read first."""
        return respelled(applied(line, self.rules) if self.rules else line)


def _items(text: str) -> tuple[object, ...] | None:
    try:
        row = parse(text, "row_alone")
    except (LarkError, ValueError, OverflowError):
        return None
    items = row.items if isinstance(row, Row) else row.row.items if isinstance(row, RowLine) else ()
    return tuple(
        (i.parts, i.count.values if i.count else None) if isinstance(i, Stitch) else None
        for i in items
    )


def terms_of(meanings: dict[str, str], stitches: Sequence[str] = ()) -> Terms:
    """The rules that follow from a table of abbreviations; the usual ones need none.

    `stitches` are names of those that the pattern describes: "work in fern lace" is in pattern.
    """
    rules = [rule for name, meaning in meanings.items() for rule in _rule(name, meaning)]
    for name in stitches:
        bare = _STITCH_WORD.sub("", name).strip()
        if re.search(r"\bchart\b", bare, re.I):
            rules += _charted(bare)
            continue
        if bare:
            rules += _repeated(bare, only=len(stitches) == 1)
        if bare and not _COMMON_STITCH.match(bare):
            said = rf"(?<!^)(?<!\")\b(?:(?:in|of)\s+)?(?:the\s+)?{re.escape(bare)}{_CALLED}"
            rules.append((re.compile(said, re.I), f'in patt "{bare}"'))
    return Terms(dict(meanings), tuple(rules), described=frozenset(map(str.lower, stitches)))


def _repeated(name: str, *, only: bool) -> Iterable[tuple[re.Pattern[str], str]]:
    """`Work the 8 rows of fern lace 10 times`; `only`: "the pattern" is it, being the only one."""
    called = rf"{re.escape(name)}{_CALLED}"
    if only:
        called = rf"(?:{called}|(?:stitch\s+)?patt(?:ern)?\b(?:\s+(?:stitch|st)\b)?)"
    verb = r"(?:work(?:ing)?|rep(?:eat)?|knit|foll(?:ow)?|cont(?:inue)?)\s+(?:in\s+)?"
    verb += r"(?:all\s+)?(?:the\s+)?"
    rows = rf"(?:(?:{_MANY})?[\s-]*(?:rows?|rnds?|rounds?)\s+(?:of\s+|from\s+)?(?:the\s+)?)?"
    times = rf"(?=\s+(?:once|twice|(?:{_MANY})\s+(?:more\s+)?times)\b)"
    repeats = r"(?:complete\s+|full\s+|vertical\s+|pattern\s+)*(?:rep(?:eat)?s?|patt(?:ern)?s)"
    done = r"(?:\s+(?:have\s+been\s+|are\s+)?(?:worked|done|completed?|made))?"
    said = f'repeat all rows in patt "{name}"'
    yield re.compile(rf"^{verb}{rows}{called}{times}", re.I), said
    of_it = rf"^{verb}({_MANY})\s+{repeats}\s+of\s+(?:the\s+)?{called}"
    yield re.compile(of_it, re.I), rf"{said} \1 times"
    until = rf"^{verb}{called}\s+(?:until|till)\s+(?:you\s+have\s+(?:worked\s+)?)?"
    until += rf"({_MANY})\s+{repeats}{done}"
    yield re.compile(until, re.I), rf"{said} \1 times in all"


_MANY = r"\d+|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"


def _charted(name: str) -> Iterable[tuple[re.Pattern[str], str]]:
    """`Work rows 1-8 of Chart A twice`; within a row `work Chart A over next 6 sts`."""
    bare = r"\s+".join(map(re.escape, name.split()))
    chart = rf"(?:the\s+)?(?<![\"\w]){bare}(?![\w:\"])(?:\s+as\s+(?:set|est\w*)\b)?"
    verb = r"(?:work(?:ing)?|rep(?:eat)?|knit|foll(?:ow)?|cont(?:inue)?)\s+"
    way = (
        r"(?:(?:even|in\s+patt(?:ern)?|patt(?:ern)?)\s+)?"
        r"(?:(?:from|following|foll|in|as|per|across)\s+)*"
    )
    times = r"(?=\s+(?:once|twice|\w+\s+(?:more\s+)?times)\b)"
    rows = r"(?:the\s+)?(?:rows|rnds|rounds)\s+"
    of = r"\s+(?:of|from)\s+"
    ranged = rf"{rows}(\d+)\s*(?:-|–|to|through)\s*(\d+){of}"
    every = rf"(?:(?:all\s+)?(?:the\s+)?(?:\d+\s+)?{rows}(?:of|from)\s+)?"
    one = rf"(?:the\s+)?(?:row|rnd|round)\s+(\d+){of}"
    first = rf"(?:the\s+)?(?:first|1st)\s+(?:row|rnd|round){of}"
    following = rf"(?:(?:the\s+)?next\s+(?:row|rnd|round){of})?"
    for said, by in (
        (rf"^{verb}{ranged}{chart}", rf'repeat rows \1-\2 in patt "{name}"'),
        (rf"^{verb}{way}{every}{chart}{times}", f'repeat all rows in patt "{name}"'),
        (rf"^{verb}{way}{every}{chart}(?=\s*\.?\s*$)", f'repeat all rows in patt "{name}" once'),
        (rf"^{verb}{way}{chart}\s*,?(?=\s+(?:until|till|for)\b)", f'work in patt "{name}"'),
        (rf"(?:{verb})?{one}{chart}", rf'charted "{name}" row \1'),
        (rf"(?:{verb})?{first}{chart}", rf'charted "{name}" row 1'),
        (rf"(?:{verb})?{way}{chart},?\s+(?:row|rnd|round)\s+(\d+)", rf'charted "{name}" row \1'),
        (rf"(?:{verb})?{way}{following}{chart}", f'charted "{name}"'),
    ):
        yield re.compile(said, re.I), by


def _rule(name: str, meaning: str) -> Iterable[tuple[re.Pattern[str], str]]:
    told = respelled(Written.at(meaning.split("(", maxsplit=1)[0].strip(" ."), 1)).text
    mine, theirs = _items(name), _items(told)
    word = re.compile(rf"(?<![\w]){re.escape(name)}(?![a-z])", re.I if len(name) > 1 else 0)
    if theirs is not None:
        if not theirs or None in theirs or mine == theirs or _alike(mine, theirs):
            return
        by = told if len(theirs) == 1 else f"({told})"
        if mine is not None:
            word = re.compile(rf"(?<![\w]){re.escape(name)}(?![a-z]){_SHAPED}", re.I)
        yield word, by.replace("\\", r"\\")
        return
    plain = _plain_words().get(meaning.lower().strip(" ."))
    if mine is None and plain and name.lower() not in _plain_words().values():
        yield re.compile(rf"(?<![\w]){re.escape(name)}(?!\w)", re.I if len(name) > 1 else 0), plain


def _alike(mine: tuple[object, ...] | None, theirs: tuple[object, ...]) -> bool:
    """`k` and `k1`: a count of one that is said or not."""
    if mine is None or len(mine) != len(theirs):
        return False
    for a, b in zip(mine, theirs, strict=True):
        if a is None or b is None or a[0] != b[0] or {a[1], b[1]} > {(1.0,), None}:  # type: ignore[index]
            return False
    return True
