"""The words of a line by their first sign, against the expressions themselves."""

import re
import string
from pathlib import Path

from engine.pattern.text.grammar import grammar
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
