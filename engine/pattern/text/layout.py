"""From a text as it was pasted to its lines in plain signs, in the order in which they are read.

Web pages, markdown, columns, bullets and numbering are taken off here; what the lines say is no
business of this module, and whether they go on on the next one is decided in `unwrap`.
"""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, replace
from html import unescape
from itertools import pairwise
from statistics import median

from engine.pattern.text.columns import in_columns
from engine.pattern.text.page import is_page, shown_lines
from engine.pattern.text.signs import made_plain
from engine.pattern.text.tables import of_tables
from engine.pattern.text.written import Written


@dataclass(frozen=True, slots=True)
class Laid:
    """One line of the file, with what stood before its text taken off."""

    words: Written
    indented: int = 0
    """Blanks before it."""
    bullet: bool = False
    number: int | None = None
    """Its place in a numbered list."""
    last: int | None = None
    """Of an item for several places, `7-17) knit`, the last of them."""
    heading: bool = False
    """The page marks it as a heading."""
    remark: bool = False
    """It begins with #: nobody's instruction."""
    marks: tuple[bool, bool] = (False, False)
    """Whether `**` stands before it, and after it: what lies between is worked again later."""

    @property
    def text(self) -> str:
        """What it says."""
        return self.words.text


_BULLET = re.compile(
    r"[ \t]*(?:[•▪◦‣●○■□◆◇►▶▸→➡➜➔⇒➢➤✓✔☐☑✦✧★☆♥❤❥∙·»§-]|[–—](?=\s))\ufe0f?[\s\u00a0]*(?=\S)"
)
_SURE_BULLET = re.compile(r"[ \t]*[•▪◦‣●○■□◆◇►▶▸→➡➜➔⇒➢➤☐☑✦✧★☆♥❤❥∙]")
_STAR_BULLET = re.compile(r"[ \t]*\*[ \t]+(?=[^\s*])")
_PLUS_BULLET = re.compile(r"[ \t]*[+][ \t]+(?=\S)")
_NUMBERED = re.compile(
    r"[ \t]*(?:step[ \t]+#?(?P<step>\d{1,3})[ \t]*(?:[:.)–—-]+[ \t]*|$)|"
    r"(?P<ring>[①-⑳❶-❿➀-➉➊-➓])[ \t]*|"
    r"\(?(?P<first>\d{1,3})[.)]?[ \t]?[-–—][ \t]?(?P<last>\d{1,3})[.)][ \t]*"
    r"(?=[a-z*(\[])(?!(?:r|rd|rnds?|rows?|rounds?|reihen?|runden?|rangs?|rgs?|tours?|v|vtas?|vueltas?|hileras?|pasadas?|filas?)\b)|"
    r"\(?(?P<item>\d{1,3})[.):][ \t]+)(?=[^\s\d]|\d+[a-z ])",
    re.I,
)
_STARRED_LABEL = re.compile(r"\*+\s*(?=(?:row|rnd|round)\s*\d+\s*(?:\([^)]*\))?\s*[:.)])", re.I)
"""`*Row 1: K34, turn.`: rows that are repeated by their numbers or as a block."""
_MARK = re.compile(r"^\*\*\s+(?=[A-Z](?!\s?\d))(?![KP][\s.,])|(?<=[.\])])\s*(?<!\*)\*\*\.?$")
"""`** Using No. 10 needles …` and `… in st st. **`: where a later piece is worked alike."""
_RULE = re.compile(r"[\s*_=~#.+·•★☆–—-]*$")
_PAGE_NUMBER = re.compile(
    r"[\s]*(?:[-–—(|]+\s*(?:page\s*)?\d{1,3}\s*[-–—)|]+|page\s*\d{1,3}(?:\s*(?:of|/)\s*\d{1,3})?)[\s]*$",
    re.I,
)
_ENTITY = re.compile(r"&(?:[a-zA-Z]{2,8}|#\d{2,5}|#x[0-9a-fA-F]{2,5});")

# Markdown (CommonMark 0.31): headings, emphasis, links, code, quotes, escapes.
_MD_HEADING = re.compile(r" {0,3}#{1,6}[ \t]+(?=\S)")
_MD_EVIDENCE = re.compile(
    r"^ {0,3}##+ \S|^\s*(?:[-+*] )?\*\*[A-Z0-9][^*\n]*\*\*|^```|\]\(https?:|\\\*|^__[A-Z][^_\n]*__",
    re.M,
)
_MD_BOLD = re.compile(r"(?<![*\w])\*\*(?=[^\s*])([^*\n]*[^\s*])\*\*(?!\*)")
_MD_UNDER = re.compile(r"(?<![\w_])(__?)(?=[^\s_])([^_\n]*[^\s_])\1(?![\w_])")
_MD_ITALIC_LINE = re.compile(r"^\s*\*(?=[^\s*])([^*\n]*[^\s*])\*\s*$")
_MD_ITALIC_COUNT = re.compile(
    r"(?<![\\*\w])\*(\([^()*\n]*\b(?:sts?|stitches|loops|increased|decreased|inc|dec)\b[^()*\n]*\)\.?)\*(?![*\w])"
)
"""`*(9 sts)*`: a count that the page sets in italics, and no repeat."""
_MD_ITALIC = re.compile(r"(?<![\\*\w])\*(?=[^\s*])([^*\n]*[^\s*\\])\*(?![*\w])")
_MD_STRUCK = re.compile(r"~~([^~\n]*)~~")
_MD_LINK = re.compile(r"!?\[([^\]\n]*)\]\((?:https?:|/|#|mailto:|data:)[^)\s]*(?: \"[^\"]*\")?\)")
_MD_CODE = re.compile(r"`+")
_MD_ESCAPE = re.compile(r"\\([\\`*_{}\[\]()#+.!|~>-])")
_MD_QUOTE = re.compile(r"^\s{0,3}(?:>\s?)+")
_LABEL_LIKE = re.compile(
    r"(?:.*:|(?:set-?up |border |next )?(?:rows?|rnds?|rounds?|r)\b\.?.*|[^,;*]*)$", re.I
)


_MIS_READ = re.compile("[ÂÃâ][\u0080-\u00bf\u0152-\u2122]")


def _mended(text: str) -> str:
    """UTF-8 that was read as Windows-1252 and saved so: `12Â½` is 12½."""
    if not _MIS_READ.search(text):
        return text
    try:
        return text.encode("cp1252").decode("utf-8")
    except UnicodeError:
        return text


def lay_out(text: str) -> list[Laid]:
    """The lines of a legible text, with empty ones where a paragraph ends."""
    text = unicodedata.normalize("NFC", "\n".join(_mended(t) for t in text.split("\n")))
    if is_page(text):
        return [_peeled(line, page=True, markdown=False, stars=False) for line in shown_lines(text)]
    lines = [Written.at(t, n) for n, t in enumerate(text.split("\n"), 1)]
    markdown = bool(_MD_EVIDENCE.search(text))
    stars = _star_bullets(lines)
    if "&" in text:
        lines = [line.sub(_ENTITY, lambda m: unescape(m.group())) for line in lines]
    lines = _dedented(in_columns(of_tables(lines)))
    laid = [_peeled(line, page=False, markdown=markdown, stars=stars) for line in lines]
    return _single_spaced([part for line in laid for part in _at_mark(line)])


_MARK_WITHIN = re.compile(r"(?<=[.)\]])\s*\*\*\.?\s+(?=[A-Z])")


def _at_mark(line: Laid) -> list[Laid]:
    """`… 80 sts rem.** Cont straight …` is two lines, with the mark between them."""
    found = _MARK_WITHIN.search(line.text)
    if found is None or line.remark or line.text.count("*") != 2:
        return [line]
    before, after = line.words.cut(0, found.start()), line.words.cut(found.end())
    marks = (line.marks[0], True)
    return [replace(line, words=before, marks=marks), Laid(after, marks=(False, line.marks[1]))]


def _star_bullets(lines: Iterable[Written]) -> bool:
    """Whether `* ` begins list items: several lines do, and hardly one of them has a second."""
    begun = [line.text for line in lines if _STAR_BULLET.match(line.text)]
    closed = [t for t in begun if re.search(r"\*|\brep(eat)?\b|\baround\b|\bacross\b", t[2:], re.I)]
    return len(begun) >= 3 and len(closed) * 3 <= len(begun)


def _dedented(lines: list[Written]) -> list[Written]:
    """Without the margin that every line has."""
    margins = [len(t) - len(t.lstrip(" \t\u00a0")) for t in (x.text for x in lines) if t.strip()]
    margin = min(margins, default=0)
    return [line.cut(margin) if line.text.strip() else line for line in lines] if margin else lines


def _single_spaced(lines: list[Laid]) -> list[Laid]:
    """A text in which every line is followed by an empty one has no paragraphs: they go."""
    filled = [i for i, line in enumerate(lines) if line.text]
    if len(filled) < 8:
        return lines
    gaps = [b - a for a, b in pairwise(filled)]
    if gaps.count(2) < 0.8 * len(gaps) or median(len(lines[i].text) for i in filled) < 50:
        return lines
    return [
        line
        for i, line in enumerate(lines)
        if line.text or (i and not lines[i - 1].text) or i + 1 == len(lines)
    ]


_BARE = re.compile(r"(?!(?:page|step)\b)[a-z][a-z\d ,.;:()]*(?<! )", re.I | re.A)
"""A line with nothing about it that a page may have put there, as most rows are."""


def _peeled(line: Written, *, page: bool, markdown: bool, stars: bool) -> Laid:
    text = line.text
    if _BARE.fullmatch(text):
        return Laid(made_plain(line))
    if not text.strip() or _PAGE_NUMBER.match(text):
        return Laid(Written.at("", line.line))
    if text.lstrip().startswith("#"):
        heading = _MD_HEADING.match(text) if markdown else None
        if heading is None:
            return Laid(line.strip(), remark=True)
        return replace(
            _peeled(_unmarked(line.cut(heading.end())), page=page, markdown=markdown, stars=stars),
            heading=True,
        )
    laid = Laid(line)
    quote = _MD_QUOTE.match(text)
    if quote:
        laid = Laid(line := line.cut(quote.end()))
    if markdown:
        laid = Laid(line := _unmarked(line))
    indented = 0 if page else len(line.text) - len(line.text.lstrip())
    laid = _listed(line, stars=stars)
    if laid.bullet and _SURE_BULLET.match(line.text):
        indented = 0
    words = made_plain(laid.words).strip()
    words = words.cut(0, len(words.text.rstrip(" ★☆")))
    starred = _STARRED_LABEL.match(words.text)
    if starred:
        words = words.cut(starred.end())
    if _RULE.fullmatch(words.text) and not re.fullmatch(r"\*{1,3}", words.text):
        return Laid(Written.at("", line.line))
    if words.text == "***":
        return Laid(Written.at("", line.line))
    mark = _MARK.search(words.text)
    if mark and words.text.count("**") == 1:
        before = mark.start() == 0
        words = words.cut(mark.end()) if before else words.cut(0, mark.start())
        laid = replace(laid, marks=(before, not before))
    return replace(laid, words=words, indented=indented)


def _listed(line: Written, *, stars: bool) -> Laid:
    """Without its bullet or its number in a list."""
    bullet = _BULLET.match(line.text)
    if bullet is None and stars:
        bullet = _STAR_BULLET.match(line.text)
    bullet = bullet or _PLUS_BULLET.match(line.text)
    if bullet and not re.match(r"[ \t]*[-–—]\s*[(\[]", line.text):
        line = line.cut(bullet.end())
    else:
        bullet = None
    number = _NUMBERED.match(line.text)
    if number:
        said = number["step"] or number["item"] or number["first"]
        said = said or int(unicodedata.numeric(number["ring"]))
        last = int(number["last"]) if number["last"] else None
        if last is None or last > int(said):
            return Laid(line.cut(number.end()), bullet=True, number=int(said), last=last)
    return Laid(line, bullet=bullet is not None)


def _unmarked(line: Written) -> Written:
    """Without markdown's marks; asterisks that may be a repeat's stay."""
    line = line.sub(_MD_LINK, r"\1").sub(_MD_STRUCK, r"\1").sub(_MD_CODE, "")
    line = line.sub(_MD_BOLD, lambda m: m[1] if _LABEL_LIKE.match(m[1]) else m[0])
    line = line.sub(_MD_UNDER, r"\2").sub(_MD_ITALIC_LINE, r"\1").sub(_MD_ITALIC_COUNT, r"\1")
    if "\\*" in line.text:
        line = line.sub(_MD_ITALIC, r"\1")  # the repeat's own stars are escaped
    return line.sub(_MD_ESCAPE, r"\1")
