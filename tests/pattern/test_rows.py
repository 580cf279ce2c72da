"""One row on a number of loops: rows of our own, and published ones with their stated counts."""

import contextlib
import tomllib
from pathlib import Path

import pytest

from engine.base.refusal import Refusal
from engine.pattern.check import check_row
from models.pattern import Severity

CORPUS = Path(__file__).parent / "corpus"


def own() -> list[tuple[str, int, int, int]]:
    with (CORPUS / "rows.toml").open("rb") as file:
        return [tuple(row) for row in tomllib.load(file)["rows"]]


def published() -> list[tuple[str, str, int, int]]:
    with (CORPUS / "published.toml").open("rb") as file:
        sources = tomllib.load(file)["source"]
    return [(s["name"], text, on, leaves) for s in sources for text, on, leaves in s["rows"]]


def faults(text: str, on: int) -> list[str]:
    return [f.sentence() for f in check_row(text, on).faults if f.severity is Severity.FAULT]


def test_the_corpus_is_large_enough_to_mean_something() -> None:
    assert len(own()) >= 50
    assert len(published()) >= 40


@pytest.mark.parametrize(("text", "on", "takes", "leaves"), own(), ids=lambda v: str(v)[:40])
def test_rows_of_our_own(text: str, on: int, takes: int, leaves: int) -> None:
    row = check_row(text, on)
    assert (row.takes, row.leaves, faults(text, on)) == (takes, leaves, [])


@pytest.mark.parametrize(("source", "text", "on", "leaves"), published(), ids=lambda v: str(v)[:40])
def test_published_rows_count_as_published(source: str, text: str, on: int, leaves: int) -> None:
    row = check_row(text, on)
    assert (row.takes, row.leaves, faults(text, on)) == (on, leaves, []), source


@pytest.mark.parametrize(("text", "on", "takes", "leaves"), own(), ids=lambda v: str(v)[:40])
def test_a_sound_row_is_at_fault_on_one_loop_more(
    text: str, on: int, takes: int, leaves: int
) -> None:
    """Unless it says "to end" of single stitches, or counts nothing."""
    found = faults(text, on + 1)
    row = check_row(text, on + 1)
    assert found or row.takes == on + 1


def test_a_published_mistake_is_found() -> None:
    """Row 8 of the same stitch of the month was printed with K5, P1 for K1, P5."""
    text = "Row 8. P 3, * K 1, P 1, K 5, P 1. Repeat from * across row. End P 3."
    (fault,) = faults(text, 25)
    assert "25 are there: the repeat of 8 leaves 3 over" in fault


def test_the_arithmetic_and_the_nearest_repair_are_told() -> None:
    (fault,) = faults("*k4, k2tog; rep from * to end", 46)
    assert "needs 48 loops, 46 are there: the repeat of 6 leaves 4 over" in fault
    assert "have 2 more or 4 fewer loops in the row before" in fault
    (fault,) = faults("k10, p5, k7", 24)
    assert "needs 22 loops, 24 are there; write k9 for k7 (column 10)" in fault
    assert faults("k10, p5, k9", 24) == []
    (fault,) = faults("k2, k to last 10 sts, p10", 9)
    assert "stops 10 stitches before the end, and only 7 are left" in fault
    (fault,) = faults("k1, k2tog, k to end (20 sts)", 20)
    assert "says 20 stitches after it, there are 19; write 19" in fault


def test_times_that_only_come_out_with_the_first_counted_in() -> None:
    row = check_row("*k4; rep from * 3 times", 12)
    assert (row.takes, [f.severity for f in row.faults]) == (12, [Severity.WARNING])
    assert check_row("*k4; rep from * 3 times", 16).faults == ()
    assert faults("*k4; rep from * 3 times more", 12)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "k3, frobnicate",
        "Row 1:: (",
        "k3 (",
        ")))",
        "rep",
        "*",
        "k99999999999",
        "🧶",
        "k" * 5000,
    ],
)
def test_what_is_no_row_is_refused_or_at_fault(text: str) -> None:
    with contextlib.suppress(Refusal):
        assert check_row(text, 10).faults


def test_numbers_by_size_need_a_size() -> None:
    with pytest.raises(Refusal, match="numbers by size"):
        check_row("k3 (4, 5), p3", 6)


def test_operations_are_those_a_hand_would_write() -> None:
    """The expansion itself, not only its sums: K1, (P2, K2tog) twice, K to last 2, ssk on 13."""
    from engine.pattern.count.decide import work_row
    from engine.pattern.text.grammar import parse

    row = parse("K1, (p2, k2tog) twice, k to last 2 sts, ssk", "row_alone")
    worked, _, _ = work_row(row.items, 13, 0)
    told = [(o.stitch, o.times) for o in worked.operations]
    assert told == [
        ("k", 1), ("p", 2), ("k2tog", 1), ("p", 2), ("k2tog", 1), ("k", 2), ("ssk", 1)
    ]  # fmt: skip
