"""The words of a line by their first sign, against the expressions themselves."""

import os
import re
import string
from pathlib import Path

import pytest
from lark.exceptions import LarkError

from engine.pattern.text import grammar as grammars
from engine.pattern.text.grammar import grammar, parse
from engine.pattern.text.lexing import first_signs

PASTED = Path(__file__).parent / "pasted"


def test_no_word_begins_with_a_sign_that_it_is_not_looked_for_at() -> None:
    lines = sorted(PASTED.glob("*.txt"))[::9]
    text = "\n".join(p.read_text(encoding="utf-8", errors="replace") for p in lines)
    text = "".join(f"\n{sign}{sign}" for sign in string.printable) + text[:4000]
    found = 0
    for terminal in grammar().terminals:
        source = terminal.pattern.to_regexp()
        pattern = re.compile(source)
        for match in pattern.finditer(text):
            sign = match.group()[:1]
            if sign.isascii():
                found += 1
                assert sign in first_signs(source), (terminal.name, match.group())
    assert found > 1000


def test_a_choice_and_an_option_begin_with_all_their_signs() -> None:
    assert first_signs("(?:the )?last|1st") == frozenset("tTlL1")
    assert first_signs(r"(?=x)(?i:r)?\.") == frozenset("rR.")
    assert first_signs(r"\d+") == frozenset("0123456789")


LABELS = ("Row 7:", "row 12 (WS):", "Rnd 365 :", "Round 1 (RS) :", "Row 0:", "Row 11:", "Rows 1-4:",
          "Row 9, RS:", "Row 07:", "Rnd 2 (even):", "Next row:")  # fmt: skip
BODIES = ("k2, p3 (4, 5).", "(k1, yo) 11 times, k1. (25 sts)", "rep row 1", "as row 11.", "knit")


def test_a_numbered_row_is_the_same_whatever_was_read_before_it() -> None:
    read = 0
    for label in LABELS:
        for body in BODIES:
            line = f"{label} {body}"
            try:
                anew = grammar().parse(line, start="line")
            except LarkError as problem:
                with pytest.raises(type(problem)):
                    parse(line, "line")
                continue
            assert parse(line, "line") == anew, line
            assert parse(line, "line") == anew, line
            read += 1
    assert read > 30


def test_the_compiled_grammars_of_two_releases_lie_side_by_side(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(grammars.platformdirs, "user_cache_dir", lambda *_, **__: str(tmp_path))
    one, two = (Path(str(grammars._kept(text))) for text in ("start: A", "start: B"))
    assert one != two
    assert Path(str(grammars._kept("start: A"))) == one
    for file in (one, two):
        file.write_bytes(b"compiled")
    os.utime(one, (0, 0))
    grammars._kept("start: C")
    assert not one.exists()
    assert two.exists()
