"""What the check says of patterns with the usual slips in them."""

import pytest

from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern
from engine.pattern.text import read as reading
from models.pattern import Fault, PatternCheck, Severity

HEAD = """Title: Trial
Craft: needles
Sizes: S (M, L)
Gauge: 20 x 26
Part: piece
"""


def check(body: str, head: str = HEAD) -> PatternCheck:
    return check_pattern(head + body)


def only(checked: PatternCheck, severity: Severity = Severity.FAULT) -> Fault:
    (found,) = [f for f in checked.faults if f.severity is severity]
    return found


def test_a_fault_names_line_column_row_size_and_the_arithmetic() -> None:
    checked = check(
        "Cast on 42 (46, 48) sts.\nRows 1-6: knit.\nRow 7: *k4, k2tog; rep from * to end.\n"
        "Bind off all sts.\n"
    )
    fault = only(checked)
    assert (fault.line, fault.column, fault.row, fault.size) == (8, 20, 7, "M")
    assert fault.sentence("cap.txt") == (
        "cap.txt:8:20: piece, row 7, size M: needs 48 stitches, 46 are there: the repeat of 6 "
        "leaves 4 over; have 2 more or 4 fewer stitches in the row before, or stop 4 before where "
        "it stops and k4."
    )
    assert [c.size for c in checked.counts] == ["S", "L"]


def test_the_repair_it_names_is_one() -> None:
    body = "Cast on 30 (34, 38) sts.\nRow 1: k10, p{n}, k10.\nBind off all sts.\n"
    fault = only(check(body.format(n="10 (12, 18)")))
    assert "needs 32 stitches, 34 are there; write k12 for k10" in fault.text + "; " + fault.repair
    assert check(body.format(n="10 (14, 18)")).sound


def test_a_count_after_a_row_is_checked() -> None:
    fault = only(
        check("Cast on 20 sts.\nRow 1: k1, ssk, k to last 3 sts, k2tog, k1. 19 sts.\nBO\n")
    )
    assert "says 19 stitches after it, there are 18" in fault.text
    assert (fault.line, fault.column) == (7, 45)


def test_one_slip_is_told_once_though_its_row_is_worked_often() -> None:
    checked = check(
        "Cast on 21 sts.\nRow 1: *k1, p1; rep from * to end.\nRep row 1 9 times more.\nBO all.\n"
    )
    assert only(checked).size == "S, M, L"


def test_a_list_with_the_wrong_number_of_entries() -> None:
    fault = only(check("Cast on 20 (24) sts.\nRow 1: knit.\nBind off all sts.\n"))
    assert "this list has 2 entries, the pattern has 3 sizes (S, M, L)" in fault.text
    assert (fault.line, fault.column) == (6, 9)


def test_a_size_that_there_is_not() -> None:
    fault = only(check("Cast on 20 sts.\nSize XL only: Row 1: knit.\nRow 1: knit.\nBO all sts.\n"))
    assert "there is no size XL; the sizes are S, M, L" in fault.sentence()


def test_rows_on_the_wrong_side() -> None:
    checked = check(
        "Cast on 20 sts.\nRow 1 (RS): knit.\nRow 2: purl.\nRow 3 (WS): purl.\nBind off all sts.\n"
    )
    assert checked.sound
    warning = only(checked, Severity.WARNING)
    assert warning.line == 9
    assert "is marked WS, and comes as a RS row" in warning.text
    checked = check(
        "Cast on 20 sts.\nWork in garter st until piece measures 10 cm, about 25 rows, ending with "
        "a WS row.\nBind off all sts.\n"
    )
    assert "ends after 25 rows with a RS row" in only(checked, Severity.WARNING).text


def test_a_part_that_does_not_mirror() -> None:
    fronts = (
        "Sizes: S\nGauge: 5 x 4\n{claim}Part: right front\nCast on 9 loops.\nRow 1: dec, k.\n"
        "Bind off all.\nPart: left front\nCast on 9 loops.\nRow 1: {row}.\nBind off all.\n"
    )
    slip = check_pattern(fronts.format(claim="", row="dec, k to end"))
    assert slip.sound
    assert "the left front does not mirror the right front" in only(slip, Severity.WARNING).text
    good = check_pattern(fronts.format(claim="", row="k to last 2 loops, dec"))
    assert good.faults == ()
    claim = "Mirrored: right front, left front\n"
    claimed = only(check_pattern(fronts.format(claim=claim, row="dec, k to end")))
    assert "row 1 of the left front does not mirror" in claimed.text
    assert claimed.line == 3


def test_unequal_heights_at_a_seam() -> None:
    pieces = (
        "Gauge: 5 x 4\nPart: front\nCast on 8 loops.\nRows 1-4: knit.\nLeave 8 loops resting at "
        '"front".\nPart: back\nCast on 8 loops.\nRows 1-{n}: knit.\nLeave 8 loops resting at '
        '"back".\nPart: seam\nSeam: pair 8 loops of "front" with "back", chain 15.\nFasten off.\n'
    )
    assert check_pattern(pieces.format(n=4)).sound
    fault = only(check_pattern(pieces.format(n=5)))
    assert "front is 4 rows high and back is 5" in fault.text
    assert fault.line == 11


def test_rows_that_are_missing_or_out_of_order() -> None:
    missing = only(check("Cast on 20 sts.\nRow 1: knit.\nRow 4: purl.\nBind off all sts.\n"))
    assert "row 4 follows row 1: rows 2 to 3 are missing" in missing.text
    order = only(check("Cast on 20 sts.\nRows 1-4: knit.\nRow 3: purl.\nBind off all sts.\n"))
    assert "row 3 comes after row 4" in order.text
    again = only(check("Cast on 20 sts.\nRow 1: knit.\nRep rows 5 and 6 twice.\nBO all sts.\n"))
    assert "repeats rows that are not written" in again.text


def test_loops_left_over_at_the_end() -> None:
    live = only(check("Cast on 20 sts.\nRow 1: knit.\n"), Severity.WARNING)
    assert "20 stitches are still live; they are bound off there" in live.text
    assert live.severity is Severity.WARNING  # closed at the end, and told
    rests = check("Cast on 20 sts.\nRow 1: knit.\nLeave 20 sts on a holder.\n")
    told = [f for f in rests.faults if "20 at holder" in f.text]
    assert [f.severity for f in told] == [Severity.WARNING]  # closed at the end, and told
    assert rests.counts
    few = only(check("Cast on 20 sts.\nRow 1: knit.\nBind off all 18 sts.\n"))
    assert "binds off 18 as all there are, 20 are there" in few.text


def test_more_taken_up_than_waits() -> None:
    found = check('Cast on 20 sts.\nRow 1: take up 5 sts from "nowhere", k to end.\nBO all sts.\n')
    assert "takes up 5 stitches from nowhere, 0 wait there" in only(found).text


def test_a_line_that_is_not_understood_hides_nothing_above_it() -> None:
    checked = check("Cast on 21 sts.\nRow 1: *k2; rep from *.\nRow 2: frobnicate.\nRow 3: knit.\n")
    assert checked.unread
    assert [(f.severity, f.line, f.column) for f in checked.faults] == [
        (Severity.FAULT, 7, 13),
        (Severity.UNREAD, 8, 8),
    ]


def test_shaping_that_never_comes_to_its_count() -> None:
    odd = only(
        check("Cast on 21 sts.\nDec 1 st at each end of every row until 10 sts rem.\nBO all.\n")
    )
    assert "from 21 in steps of 2 it never comes to that" in odd.text
    never = only(check("Cast on 20 sts.\nRow 1: knit.\nRep row 1 until 10 sts rem.\nBO all sts.\n"))
    assert "the rows never get there" in never.text


@pytest.mark.parametrize(
    "body",
    [
        "Cast on 20 sts.\nKnit 999999 rows.\nBO all.\n",
        "Cast on 999999 sts.\nRow 1: knit.\nBO all.\n",
        "Cast on 4 sts.\nRow 1: " + "(" * 8 + "k1" + ") 99 times" * 8 + "\n",
        "Cast on 4 sts.\nRow 1: as row 1\nRow 2: as row 2.\n",
        "Cast on 4000 sts.\nKnit 19000 rows.\nBO all.\n",
        "Cast on 4 sts.\nRow 1: kfb in each st.\nRep row 1 999 times more.\n",
        "Cast on 9 sts.\nRow 1: yo to end.\n",
        "Cast on 9 sts.\nRow 1: *yo; rep from * to end.\n",
        "Cast on 9 sts.\nRow 99999: knit.\nRow 3 and every other row to row 999999: knit.\n",
    ],
)
def test_what_has_no_end_is_cut_short_with_a_fault(body: str) -> None:
    assert not check(body, "Gauge: 20 x 26\n").sound


def test_bounds_of_the_file_itself() -> None:
    with pytest.raises(Refusal, match="larger than"):
        check_pattern("# \n" + "Row 1: knit.\n" * 100_000)
    with pytest.raises(Refusal, match="no row"):
        check_pattern("Title: nothing\n")
    assert check_pattern("Row 1: k" + "1, k" * reading.LINE_AT_MOST).unread
    assert check_pattern("Row 1: " + "(" * 40 + "k1" + ")" * 40).unread


TABLE = "Sizes: S (M, L)\nGauge: 20 x 26\n| Size | S | M | L |\n| Cast on | 64 | 72 | 80 |\n"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        # what casts on and does not say how many is asked about, and nothing below it is a fault
        (
            "Gauge: 20 x 26\nCast on the number of sts for your size and join.\n"
            "Work the rib rounds in k1, p1.\nRnd 1: *k6, k2tog* around. 56 sts\nRnd 2: knit.\n",
            ["unread 2", "unread 3"],
        ),
        # where a table says how many, it is read
        (
            TABLE + "Cast on the number of sts for your size and join.\n"
            "Rnd 1: *k6, k2tog* around. 56 (63, 70) sts\nBind off all sts.\n",
            [],
        ),
        # and where the text says it again, it is said once
        (TABLE + "Cast on 64 (72, 80) sts.\nRow 1: knit. 64 (72, 80) sts\nBind off.\n", []),
        ("Gauge: 20 x 26\nRow 1: k2, p2.\nRow 2: knit. 4 sts\nRow 3: k4. 4 sts\n", ["fault 2"]),
        # a new heading is no new cast-on: its counts rest on the line that is not read
        (
            "Gauge: 20 x 26\nCast on 3 sts.\nRow 1: frobnicate to 9.\nBorder\n"
            "Row 1: kfb, k to end. (10 sts)\nBind off all sts.\n",
            ["unread 3"],
        ),
        # what is cast on below it is counted
        (
            "Gauge: 20 x 26\nCast on 3 sts.\nRow 1: frobnicate to 9.\nBorder\nCast on 8 sts.\n"
            "Row 1: kfb, k to end. (10 sts)\nBind off all sts.\n",
            ["unread 3", "fault 6"],
        ),
        # a count on the line that is not read
        (
            "Gauge: 20 x 26\nCast on 3 sts.\nFrobnicate each row to the end. (9 sts)\n"
            "Knit 2 rows.\nBind off all sts.\n",
            ["unread 3"],
        ),
        # a gauge behind the sizes, and one that says no rows
        ("Sizes 1 (2). Gauge: 18 sts and 26 rnds over 10 cm\nCO 9 sts.\nRow 1: k.\nBO.\n", []),
        ("Gauge: 18 sts = 4 inches\nCO 9 sts.\nRow 1: k.\nBO.\n", ["warning 1 not how many rows"]),
        ("CO 9 sts.\nRow 1: k.\nBO.\n", ["warning 1 states no gauge"]),
    ],
)
def test_what_rests_on_what_was_not_read(text: str, told: list[str]) -> None:
    found = [(f"{f.severity.value} {f.line}", f.text) for f in check_pattern(text).faults]
    assert [place for place, _ in found] == [" ".join(t.split()[:2]) for t in told]
    assert all(" ".join(t.split()[2:]) in text for t, (_, text) in zip(told, found, strict=True))


def test_the_most_stitches_are_those_after_a_row_too() -> None:
    told = check("Cast on 9 sts.\nKnit 2 rows.\nNext row: kfb in each st.\nBind off 18 sts.\n")
    assert {c.most_loops for c in told.counts} == {18}
