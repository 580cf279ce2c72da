"""Lines that are for some sizes alone: "Adult M & L: *K10, k2tog; rep from * around. Knit 1 rnd."

Such a line becomes three, as the grammar has them: whom it is for, what it says, and that what
follows is for all again. The whole line is for those sizes, every sentence of it.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.layout import Laid
from engine.pattern.text.sections import headed
from engine.pattern.text.size_line import sizes_in
from engine.pattern.text.talk import works
from engine.pattern.text.written import Written

_FOR = re.compile(
    r"^(?P<for>for\s+)?(?:the\s+)?(?P<size>sizes?\s+)?(?P<names>[A-Za-z0-9][\w &,/.½+-]{0,60}?)"
    r"(?P<after>\s+sizes?)?(?P<only>\s+only)?\s*(?::|\s[–—-]\s)\s*(?=\S)",
    re.I,
)
_ROW = re.compile(r"(?:rows?|rnds?|rounds?|next|k|p)\b", re.I)
_APART = re.compile(r"\s*(?:,|&|/|\+|\band\b|\bor\b)\s*")
_ALL_BUT = re.compile(
    r"^all(?:\s+(?:other\s+)?sizes)?\s+(?:except|but)\s+(?:for\s+)?(?:sizes?\s+)?(?P<but>.+)$", re.I
)
_OTHERS = re.compile(r"^(?:all\s+)?(?:other|remaining)(?:\s+sizes)?$", re.I)
_NTH = {"smallest": 0, "largest": -1, "first": 0, "second": 1, "third": 2, "fourth": 3, "last": -1}


def for_sizes_apart(lines: Sequence[Laid]) -> list[Laid]:
    """The lines, with those for some sizes alone told as such; as they are where no sizes are."""
    sizes = _sizes(lines)
    if len(sizes) < 2:
        return list(lines)
    out: list[Laid] = []
    before: tuple[str, ...] = ()
    for line in lines:
        found = None if line.remark or _ROW.match(line.text) else _FOR.match(line.text)
        names = _named(found, sizes, before) if found else None
        rest = line.words.cut(found.end()) if found else line.words
        if names is None and found and found["only"] and found["after"] and works(rest.text):
            names = (found["names"].strip(),)  # no size of these: it is said so
        if found is None or names is None or not works(rest.text):
            out.append(line)
            continue
        before = names
        all_again = replace(line, words=_said("All sizes:", line.words), marks=(False, False))
        own = f"For sizes {', '.join(names)}:"
        out += [replace(line, words=_said(own, line.words))] if names else [all_again]
        out.append(replace(line, words=rest, bullet=False, number=None, last=None))
        out += [all_again] if names else []
    return out


def _said(text: str, at: Written) -> Written:
    spot = at.spot(0)
    return Written.at(text, spot.line, spot.column)


def _sizes(lines: Sequence[Laid]) -> tuple[str, ...]:
    """The first list of sizes of the page, by the word before it or above it."""
    alone = False
    for line in lines:
        head = headed(line.text)
        told = head is not None and head.kind == "sizes"
        rest = line.text[head.rest :] if head and told else line.text if alone else ""
        names = sizes_in(rest) if rest else None
        if names:
            return names
        alone = told and not rest
    return ()


def _named(
    found: re.Match[str], sizes: Sequence[str], before: tuple[str, ...]
) -> tuple[str, ...] | None:
    """The sizes that are meant, in their order, none for all; None where it is no list of them."""
    said = found["names"].strip(" .")
    if said.lower() == "all":
        return () if found["after"] else None
    if (but := _ALL_BUT.match(said)) is not None:
        left = _each(but["but"], sizes)
        return tuple(s for s in sizes if s not in left) if left else None
    if _OTHERS.match(said) and before and (found["after"] or "size" in said.lower()):
        return tuple(s for s in sizes if s not in before)
    meant = _each(said, sizes)
    figures = said.replace(" ", "").isdigit()
    if not meant or (figures and not (found["size"] or found["only"] or found["after"])):
        return None  # "1: knit" counts lines
    return tuple(s for s in sizes if s in meant)


def _each(said: str, sizes: Sequence[str]) -> set[str]:
    """Each name of a list as the size it is; none where one of them is no size."""
    lead = ""
    meant: set[str] = set()
    for word in (w for w in _APART.split(said) if w):
        name = next(iter(_meant(word, sizes) or _meant(f"{lead} {word}", sizes)), None)
        if name is None:
            return set()
        meant.add(name)
        lead = " ".join(name.split()[:-1])
    return meant


def _meant(word: str, sizes: Sequence[str]) -> list[str]:
    word = " ".join(word.lower().split())
    nth = _NTH.get(word)
    if nth is not None:
        return [sizes[nth]] if -1 <= nth < len(sizes) else []
    return [s for s in sizes if s.lower() == word]
