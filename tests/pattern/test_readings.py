"""Rows that can be read in two ways: the text decides, or both readings are told and asked.

What decides: whole repeats that come out, or the count that is printed after the row. The counts
are worked out by hand; where no published source is named they are plain arithmetic.
"""

from pathlib import Path

import pytest

from counter.shared.written import pattern_text
from engine.base.refusal import Refusal
from engine.pattern.check import check_row
from engine.pattern.count import readings
from engine.pattern.text.read import read
from engine.pattern.text.statements import RowLine
from models.pattern import Severity

COMES_OUT = [
    # a run of stitches up to "to end" is a repeat where whole repeats come out
    ("K6, k2tog to end of rnd", 64, 56),
    ("K2, p2tog around", 40, 30),
    ("K4, k2tog around", 42, 35),
    ("K4, k2tog around.", 48, 40),
    ("k1, kfb across", 20, 30),
    ("K1, k2tog to end", 21, 14),
    ("k2, yo, k2tog around", 20, 20),
    ("yo, k2tog across", 20, 20),
    ("k2tog, yo across", 20, 20),
    ("k4, yo, k2tog to last 4 sts, k4", 20, 20),
    ("k1, p1, k1, p1 across", 22, 22),
    ("sm, k6, k2tog to end", 64, 56),
    ("k6, k2tog to last 3 sts, k3", 35, 31),
    ("(k1, p1) twice, k2tog around", 24, 20),
    ("K1, p1, rep to end", 20, 20),
    ("k4, k2tog, rep across", 24, 20),
    ("(k2, k2tog) rep to end", 24, 18),
    ("k1, (k2, k2tog), rep to last st, k1", 26, 20),
    ("*k2, k2tog* to end", 24, 18),
    ("*k2, k2tog* around", 24, 18),
    ("*k2, k2tog*", 24, 18),
    ("k1, *k2, k2tog*, k1", 26, 20),
    ("(Kfb)* to end", 10, 20),
    ("(Kfb)*", 10, 20),
    ("*k2, k2tog to end", 24, 18),
    # what is plainly said of the last stitch alone
    ("k3, p to end", 20, 20),
    ("k2tog, k to end", 20, 19),
    ("Inc in first st, k to end", 10, 11),
    ("k2, kfb in each st to last 2 sts, k2", 10, 16),
    ("K2tog to end", 20, 10),
    ("k5, k2tog twice, k5", 14, 12),
    ("k1, yo twice, k1", 2, 4),
    ("*k2tog, yo twice, ssk; rep from *", 12, 12),
    ("ssk, k2tog twice, k to end", 20, 17),
    # the printed count decides
    ("k1, kfb across. 41 sts.", 21, 41),
    ("K6, k2tog to end of rnd (35 sts)", 64, 35),
    ("K6, k2tog to end of rnd (56 sts)", 64, 56),
    ("yo, k2tog 3 times, k to end (18 sts)", 20, 18),
    ("yo, k2tog 3 times, k to end (20 sts)", 20, 20),
    ("*K4, inc 1; rep from * (25 sts)", 20, 25),
    ("*K4, inc 1; rep from * (24 sts)", 20, 24),
    ("*k1, kfb; rep from * 3 times, k to end. 23 sts", 20, 23),
    # times of several stitches, where only that comes out
    ("K6, k2tog 8 times", 64, 56),
    ("K6, k2tog 8 times", 22, 14),
    ("sl 1, k1, psso 3 times", 6, 3),
    ("k1, p1 twice", 4, 4),
    ("k1, p1 twice", 3, 3),
    # an increase is made out of a loop or between two, as the loops that are there say
    ("k5, inc 1, k5", 11, 12),
    ("k5, inc 1, k5", 10, 11),
    ("k5, inc 1, k to end", 20, 21),
    ("*k4, inc in next st; rep from *", 20, 24),
    # the last repeat breaks off only where whole repeats do not come out
    ("*K2, p2; rep from *, end k2", 26, 26),
    ("*k1, yo, k2tog, k3; rep from *, end k2", 26, 26),
    ("*k3, yo, k2tog, k1; rep from *, end k2", 23, 24),
    ("k2, *yo, k2tog; rep from * across, end k1", 21, 21),
    # what is counted after a full stop: the row's stitches where that comes out
    ("k18, inc. 20 sts.", 19, 20),
    ("sl 1, *sssk twice; rep from *, end k2, k1 tbl, inc. 23 sts.", 58, 23),
    ("k to last 2 sts, dec. 19 sts", 20, 19),
    ("k3, inc. 5 sts.", 8, 13),
    ("k5, inc. 3 sts, k5", 13, 16),
    # increases and decreases placed by a phrase
    ("k-yo-k in next st, k to end", 5, 7),
    ("(k-yo-k) in next st, k to end", 5, 7),
    ("k1-p1-k1 in next st, k4", 5, 7),
    ("k1, yo, k1 all in next st, k4", 5, 7),
    ("k2, k1, yo, k1 in next st, k4", 7, 9),
    ("inc 1 at beg and end", 20, 22),
    ("inc 1 st at beg and end of row", 20, 22),
    ("dec 1 at beg and end", 20, 18),
    ("Dec 1 st at the beginning and the end of row.", 20, 18),
    ("inc 1 st each end", 20, 22),
    ("dec 1 st each side", 20, 18),
    ("inc 5 sts across row", 10, 15),
    ("dec 6 sts around", 48, 42),
    ("inc in next 3 sts, k to end", 10, 13),
    ("k2, inc in each of next 3 sts, k to end", 10, 13),
    # a slipped loop passed over what is named
    ("sl 1, k1, yo, pass sl st over k1 and yo, k4", 6, 6),
    ("sl 1, k2, pass sl st over 2 k sts, k4", 7, 6),
    ("sl 1, k1, pass slipped stitch over knit stitch, k to end", 10, 9),
    ("sl 1, k2tog, psso, k5", 8, 6),
    ("sl 2, k1, p2sso, k5", 8, 6),
    ("sl 2 tog, k1, psso, k5", 8, 6),
    ("p4, sl 2 as if to k2tog, k1, pass 2 sl sts over P 1", 8, 6),  # the p1 is the next stitch
    ("k4, sl 1, k1, pass sl st over k2", 8, 7),  # and so is the k2, since one was worked
    ("k6, sl 1, k1, pass sl st over k1", 8, 7),
    ("Sl 1 - Yo - P until 4 sts remain - k 2 tog - K 2", 29, 29),  # a loop made, no brioche stitch
    ("sl1yo, k2", 3, 3),
    ("p6, sl 1, p1, pass the slipped stitch over p1", 8, 7),
    ("k5, sl 1, k2tog, pass sl st over k1", 8, 6),
    ("sl 2, k1, pass 2 sl sts over, k5", 8, 6),
    # the yarn carried to the front for a slipped loop makes none
    ("*yfwd, sl 1, yb, k1; rep from *", 10, 10),
    ("k1, yfwd, sl 1, k2tog, psso, yfwd, k1", 5, 5),
    ("k1, yfwd, k2tog, k1", 4, 4),
    ("wyif sl 1, k to end", 10, 10),
    # nor does it where it is laid over one slipped in front, if the count says so
    ("*sl 1 wyif, yo, k1; rep from * (10 sts)", 10, 10),
    ("*sl 1 wyif, yo, k1; rep from * (15 sts)", 10, 15),
    ("sl 1 wyif, yo, k1, psso", 2, 2),
    ("*yf, sl1, yo, k1; rep from *", 10, 10),
    ("k1, *yo, sl 1 wyif, k2tog*, k1", 11, 11),
    # a colour's name swallows nothing
    ("k5 with CC k5 with MC", 10, 10),
    ("k2 with CC, k2tog with MC", 4, 3),
    ("with MC, k2, with CC, k2tog", 4, 3),
    # differences
    ("K1, yo, k to last st, yo, k1 (2 sts increased)", 10, 12),
    ("k1, ssk, k to last 3 sts, k2tog, k1. 2 sts dec'd", 10, 8),
    ("k1, ssk, k to last 3 sts, k2tog, k1 (2 sts dec)", 10, 8),
    ("k1, ssk, k to last 3 sts, k2tog, k1 (-2 sts)", 10, 8),
    ("K1, yo, k to last st, yo, k1 [+2 sts]", 10, 12),
    ("k1, M1, k to last st, M1, k1 – 12 sts", 10, 12),
    ("*k1, kfb; rep from * (10 sts inc; 30 sts total)", 20, 30),
]  # fmt: skip


@pytest.mark.parametrize(("text", "on", "leaves"), COMES_OUT, ids=lambda v: str(v)[:50])
def test_the_text_decides(text: str, on: int, leaves: int) -> None:
    row = check_row(text, on)
    told = [f.sentence() for f in row.faults if f.severity is not Severity.WARNING]
    assert (told, row.leaves) == ([], leaves)


ASKED = [
    ("k1, kfb across", 21),  # neither whole repeats nor a count
    ("sl 1, k2tog to end", 21),  # an edge, or part of the repeat
    ("yo, k2tog 3 times, k to end", 20),
    ("k2, yo, k1 5 times, k to end", 20),
    ("*K4, inc 1; rep from *", 20),
    ("*inc, k5; rep from * to end", 30),
    ("*k1, kfb; rep from * 3 times, k to end", 20),
    ("k1, yo, k1 in next st, k to end", 10),
    ("sl 2, k1, psso, k5", 8),
    ("p1, sl 2, k1, psso to end", 12),
    ("k1, *yfwd, sl 1, k1; rep from *, k1", 20),
    ("sl 1 wyif, yo, k1", 2),
    ("*k1, wyif sl 1, yo; rep from *", 10),
    ("*k1, sl1 wyif yo* to end", 10),
    ("*yfwd, sl 1, sl 2, k1, p2sso, k3; rep from * to end", 14),
    ("k5, k2tog to last 5 sts, k5 (20 sts)", 26),  # neither reading leaves 20
]


@pytest.mark.parametrize(("text", "on"), ASKED, ids=lambda v: str(v)[:50])
def test_both_readings_are_told_where_nothing_decides(text: str, on: int) -> None:
    faults = [f for f in check_row(text, on).faults if f.severity is Severity.FAULT]
    assert faults, text


def test_the_question_names_both_counts() -> None:
    (fault,) = check_row("yo, k2tog 3 times, k to end", 20).faults
    assert "18" in fault.text
    assert "20" in fault.text
    (fault,) = check_row("*k1, kfb; rep from * 3 times, k to end", 20).faults
    assert "24" in fault.text
    assert "23" in fault.text
    (fault,) = check_row("K6, k2tog to end of rnd", 65).faults  # neither comes out
    assert "needs 64" in fault.text
    assert "if only k2tog is repeated, it needs 66" in fault.text


def test_a_reading_that_was_chosen_among_several_is_told() -> None:
    told = check_row("K6, k2tog to end of rnd", 64).faults
    assert [f.severity for f in told] == [Severity.WARNING]
    assert "35" in told[0].text
    assert check_row("k4, k2tog around", 42).faults[0].severity is Severity.WARNING
    assert check_row("k2, p2 across", 40).faults == ()


@pytest.mark.parametrize(
    ("text", "on"),
    [
        ("k3, psso, k3", 6),
        ("purl five, sl 2 as if to k2tog, k1, pass 2 sl sts over P 1", 8),
        ("psso, k5", 6),
        ("sl 1, psso, k5", 6),  # nothing stands between
        ("sl 1, k1, psso, k1, psso, k4", 7),
        ("sl 1, k9, psso, k to end", 20),
        ("sl 1, k1, psso 3 times", 2),
        ("k10 from holder", 10),
        ("k3, pass sl st over, k to end", 10),
    ],
)
def test_nothing_is_passed_over_that_was_not_slipped(text: str, on: int) -> None:
    try:
        row = check_row(text, on)
    except Refusal:
        return
    assert [f for f in row.faults if f.severity is Severity.FAULT]


def test_a_repeat_that_breaks_off_says_so() -> None:
    told = check_row("*k3, yo, k2tog, k1; rep from *, end k2", 23).faults
    assert [f.severity for f in told] == [Severity.WARNING]
    assert check_row("*K2, p2; rep from *, end k2", 26).faults == ()


def test_a_row_without_doubt_has_the_one_reading_that_the_long_way_finds(monkeypatch) -> None:
    texts = sorted((Path(__file__).parent / "pasted").glob("*.txt"))[::6]
    rows = [
        (scoped.said.row.items, size)
        for text in texts
        for pattern in [read(pattern_text(text))]
        for scoped in pattern.statements
        if isinstance(scoped.said, RowLine)
        for size in range(len(pattern.sizes))
    ]
    short = [readings.readings(items, size, lambda _: None) for items, size in rows]
    quick = sum(readings._undoubted(items, size) for items, size in rows)
    assert 50 < quick < len(rows)  # some go the short way, and not all
    monkeypatch.setattr(readings, "_undoubted", lambda *_: False)
    assert [readings.readings(items, size, lambda _: None) for items, size in rows] == short
