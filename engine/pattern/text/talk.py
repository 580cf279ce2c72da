"""Tells talk from work: whether a sentence that the grammar does not read may move a loop.

What may is never taken for talk: it is asked about. The words stand in `talk.toml`.
"""

import re
import tomllib
from functools import cache
from importlib.resources import files

_SHORT = 25
"""Characters of a sentence that says no more than its verb."""


@cache
def _table() -> dict[str, re.Pattern[str]]:
    """The lists of talk.toml, each as one expression."""
    text = files("engine.pattern.text").joinpath("talk.toml").read_text(encoding="utf-8")
    lists = tomllib.loads(text)
    verb, begins = lists.pop("verbs"), lists.pop("begins")
    harmless = "|".join(lists.pop("harmless"))
    lists["harmless"] = [
        rf"^(?:and\s+|then\s+|now\s+|next,?\s+|finally,?\s+|,\s*|\(\s*)*(?:{harmless})\s*\)?[.!]*$"
    ]
    return {
        name: re.compile("|".join(those).replace("{verb}", verb).replace("{begins}", begins), re.I)
        for name, those in lists.items()
    }


def _has(name: str, text: str) -> bool:
    return bool(_table()[name].search(text))


def phrase(name: str) -> re.Pattern[str]:
    """A list of talk.toml."""
    return _table()[name]


_TO_DRY = re.compile(
    r",?\s*(?:and\s+)?(?:leave|allow|let)\s+(?:it\s+|to\s+|until\s+|the\s+\w+\s+)*(?:dry|cool)\w*(?:\s+\w+){0,2}(?=[.,;!]|$)",
    re.I,
)
"""What is left so is no loop."""


def harmless(text: str) -> bool:
    """An instruction that moves no loop: needles, colours, seams, care, where a marker hangs."""
    if _has("asked", text):
        return False
    if _has("closing", text):
        return True
    text = _TO_DRY.sub("", text)
    if ";" in text.strip(" ;") and not text.startswith("("):
        return all(harmless(part.strip()) for part in text.strip(" ;").split(";"))
    if not _has("harmless", text) or _has("stitch", text) or _has("gathered", text):
        return False
    return _has("forms", text) or not (_has("later", text) or _has("moves", text))


_UNTIL = re.compile(
    r"\b(?:until|till)\b[^.;]*\d[^.;]*?(?:cms?\b|ins?\b|inch|[\"”″]|rows\b|rnds\b|rounds\b|sts\b|stitches\b|loops\b)",
    re.I,
)
"""How long something goes on is never talk."""


def works(text: str) -> bool:
    """Whether a sentence may be an instruction that moves loops."""
    if harmless(text):
        return False
    if _has("asked", text):
        return True
    commands = _has("imperative", text)
    if _has("stitch", text):
        return commands or not speaks(text)
    if commands:
        said = _has("anywhere", text) or any(c.isdigit() for c in text)
        return said or len(text) < _SHORT or bool(_table()["alone"].match(text))
    if speaks(text):
        return False
    if _UNTIL.search(text):
        return True
    if _has("numbered", text) and not _has("told", text):
        return True
    if _has("told", text):
        return _has("counted", text) and _has("command_inside", text)
    return _has("later", text) or (_has("counted", text) and _has("anywhere", text))


def aside(text: str) -> bool:
    """What is said beside a row and cannot be one of its stitches."""
    if _has("stitch", text):
        return False
    if harmless(text) or _has("named", text) or _has("beside", text):
        return True
    return not works(text) and (speaks(text) or _has("told", text))


_YOU_HAVE = re.compile(r"\b(?:until|till)\s+you(?:[’']ve|\s+have)(?=\s+(?:got\s+)?\d)", re.I)
"""`until you've 44 sts`: that is said to nobody."""


def speaks(text: str) -> bool:
    """Whether someone speaks of herself, or to the reader."""
    return _has("voice", _YOU_HAVE.sub("until", text))
