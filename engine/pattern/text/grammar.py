"""The grammar in pattern.lark, compiled, and a line read by it."""

import os
import re
import sys
from contextlib import suppress
from dataclasses import replace
from functools import cache, lru_cache
from hashlib import sha256
from importlib.resources import files
from pathlib import Path
from time import time
from typing import Any

import lark
import platformdirs
from lark import Lark, Token, Transformer
from lark.exceptions import LarkError

from engine.base.heap import uncollected
from engine.pattern.text.lexing import PlaceLexer, WordLexer
from engine.pattern.text.row_items import Claim
from engine.pattern.text.rules_headings import HeadingRules
from engine.pattern.text.rules_items import ItemRules
from engine.pattern.text.rules_rows import RowRules
from engine.pattern.text.rules_sentences import SentenceRules
from engine.pattern.text.rules_steps import StepRules
from engine.pattern.text.rules_words import WordRules
from engine.pattern.text.statements import Range, RowLine, ShapeRows


class _Lines(
    WordRules, ItemRules, RowRules, HeadingRules, SentenceRules, StepRules, Transformer[Token, Any]
):
    """Grammar rules to values, one method a rule."""

    def line(self, c: list[Any]) -> list[Any]:
        said = [i for i in c if not isinstance(i, Token)]
        if len(said) > 1 and isinstance(said[-1], Claim) and isinstance(said[-2], ShapeRows):
            said[-2:] = [replace(said[-2], claim=said[-1])]
        return said

    def row_alone(self, c: list[Any]) -> Any:
        return c[0]

    def gauge_alone(self, c: list[Any]) -> Any:
        return c[0]

    def prose(self, c: list[Any]) -> list[Token]:
        return list(c)


@cache
def grammar() -> Lark:
    """The grammar. It is compiled at the first start, and loaded from what is kept of it later."""
    text = files("engine.pattern.text").joinpath("pattern.lark").read_text(encoding="utf-8")
    with uncollected():
        return Lark(
            text,
            cache=_kept(text),
            parser="lalr",
            lexer="contextual",
            start=["line", "row_alone", "prose", "gauge_alone"],
            maybe_placeholders=False,
            transformer=_Lines(),
            _plugins={"ContextualLexer": PlaceLexer, "BasicLexer": WordLexer},
        )


def _kept(text: str) -> str | bool:
    """Where the compiled grammar is kept, in a folder that is the user's alone; False for nowhere.

    Lark holds it against the grammar, its own version and Python's, and compiles anew for others.
    Each grammar has a file of its own, so that two releases side by side do not take turns.
    """
    folder = Path(platformdirs.user_cache_dir("spokenrow", appauthor=False))
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if hasattr(os, "getuid") and folder.stat().st_uid != os.getuid():
            return False  # another's file is not loaded
    except OSError:
        return False
    told = f"{lark.__version__} {sys.version_info[:2]} {text}"
    mine = folder / f"grammar-{sha256(told.encode()).hexdigest()[:12]}.bin"
    if not mine.exists():
        _clear_out(folder)
    return str(mine)


def _clear_out(folder: Path) -> None:
    """Take away grammars of other releases that were compiled some while ago."""
    for old in folder.glob("grammar-*.bin"):
        with suppress(OSError):
            if time() - old.stat().st_mtime > _KEPT_FOR:
                old.unlink()


_KEPT_FOR = 30 * 24 * 3600.0
"""Seconds."""


def parse(text: str, start: str) -> Any:
    """One line by the grammar. Raises lark's errors where it is none.

    Rows come again and again in a pattern, under another number each time. So what was read of a
    line is kept, and of a numbered row whatever its number.
    """
    label = _NUMBERED.match(text) if start == "line" else None
    if label is None:
        return _kept_line(text, start)
    at, to = label.span("number")
    stands_for = "1" * (to - at)
    try:
        said = _kept_line(f"{text[:at]}{stands_for}{text[to:]}", start)
    except LarkError:
        return _kept_line(text, start)  # which tells of the line as it is
    row = said[0] if said else None
    if isinstance(row, RowLine) and len(row.ranges) == 1 and row.ranges[0].first.said == stands_for:
        number = replace(
            row.ranges[0].first, values=(float(label["number"]),), said=label["number"]
        )
        return [replace(row, ranges=(Range(number, number),)), *said[1:]]
    return _kept_line(text, start)


_NUMBERED = re.compile(
    r"(?:row|rnd|round)\s(?P<number>[1-9]\d*)(?=\s*(?:\((?:RS|WS)\)\s*)?:)", re.I
)


@lru_cache(maxsize=4096)
def _kept_line(text: str, start: str) -> Any:
    return grammar().parse(text, start=start)
