"""Patterns as they are pasted: what is read whole, what is asked about, and every count by hand.

The texts are ours, in the manner of many authors and decades; `counts.toml` says what each comes
to. A text that asks something or is refused may do so, but no count may be wrong.
"""

import re
import tomllib
from pathlib import Path

import pytest

from counter.shared.written import pattern_text
from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern
from engine.pattern.make import plan_from_text, script_of, stated_gauge
from engine.plan.planning import read_gauge
from models.script import ROW_KINDS

PASTED = Path(__file__).parent / "pasted"
SWATCH = read_gauge("20 x 26")
"""For texts without a gauge: none of their counts depends on it."""


def texts() -> dict[str, dict[str, str]]:
    return tomllib.loads((PASTED / "counts.toml").read_text(encoding="utf-8"))


def loops(said: str) -> list[int]:
    """`40*3` is three rows of 40; `5..105+2` is 5, 7, 9, … 105, `5..9+2x2` each of them twice."""
    rows: list[int] = []
    for word in said.split():
        if run := re.fullmatch(r"(\d+)\*(\d+)", word):
            rows += [int(run[1])] * int(run[2])
        elif steps := re.fullmatch(r"(\d+)\.\.(\d+)([+-]\d+)(?:x(\d+))?", word):
            first, last, by, each = (int(n or 1) for n in steps.groups())
            span = range(first, last + (1 if by > 0 else -1), by)
            rows += [row for row in span for _ in range(each)]
        else:
            rows.append(int(word))
    return rows


def outcome(text: str) -> tuple[str, dict[str, list[int]]]:
    """What came of a text, and the loops after each row of the sizes that can be worked."""
    try:
        checked = check_pattern(text)
    except Refusal:
        return "refused", {}
    counted: dict[str, list[int]] = {}
    gauge = None if stated_gauge(text) else SWATCH
    for count in checked.counts:
        size = "" if count.size == "one size" else count.size
        steps = script_of(plan_from_text(text, size=size, gauge=gauge)).steps
        counted[size or "rows"] = [s.loops_after for s in steps if s.kind in ROW_KINDS]
    if checked.sound:
        return "whole", counted
    return ("questions" if checked.unread else "faults"), counted


def file_of(name: str) -> Path:
    (file,) = PASTED.glob(f"{name}.*")
    return file


def test_every_text_has_its_counts() -> None:
    assert {p.stem for p in PASTED.iterdir() if p.suffix != ".toml"} == set(texts())


@pytest.mark.parametrize("name", texts())
def test_pasted(name: str) -> None:
    expected = dict(texts()[name])
    wanted = expected.pop("outcome", "whole")
    came, counted = outcome(pattern_text(file_of(name)))
    assert {size: loops(said) for size, said in expected.items() if size in counted} == counted
    if wanted != "open":
        assert came == wanted
        assert came != "whole" or set(counted) == set(expected)
