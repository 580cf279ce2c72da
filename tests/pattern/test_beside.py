"""Shaping beside shaping, charts by their names, cast-ons that are taken out again, markers.

The counts after each row are by hand; 30 rows to 10 cm, so that 2 cm are 6 rows.
"""

import pytest

from engine.pattern.check import check_pattern
from engine.pattern.make import counted_as_written
from models.gauge import Gauge
from models.pattern import Severity
from models.script import ROW_KINDS, Craft

HEAD = "Title: A piece\nCraft: needles\nGauge: 20 sts and 30 rows = 10 cm\n"
GAUGE = Gauge(loops_per_10cm=20, rows_per_10cm=30)


def rows(text: str) -> list[int]:
    """Loops after each row; nothing may be at fault."""
    checked = check_pattern(HEAD + text)
    assert [f.sentence() for f in checked.faults if f.severity is not Severity.WARNING] == []
    counted = counted_as_written(HEAD + text, 0, GAUGE, Craft.NEEDLES)
    return [d.after for d in counted.drafts if d.kind in ROW_KINDS]


def faults(text: str) -> list[str]:
    return [f.text for f in check_pattern(HEAD + text).faults if f.severity is not Severity.WARNING]


FRONT = "Left Front\nCast on 30 sts. Knit 2 rows.\n"
OFF = "\nBind off.\n"


def test_two_shapings_from_the_same_row() -> None:
    text = (
        "Dec 1 st at armhole edge every other row 3 times, AT THE SAME TIME dec 1 st at neck edge "
        "every 4th row twice."
    )
    assert rows(FRONT + text + OFF) == [30, 30, 30, 29, 29, 27, 27, 26, 26, 25]


def test_the_second_begins_at_a_length_and_lasts_longer() -> None:
    text = (
        "Shape armhole: Bind off 4 sts at beg of next row. Work 1 row. Dec 1 st at armhole edge "
        "every RS row 3 times. At the same time, when armhole measures 2 cm, shape neck: dec 1 st "
        "at neck edge every RS row 3 times. 20 sts rem."
    )
    wanted = [30, 30, 26, 26, 25, 25, 24, 24, 22, 22, 21, 21, 20]
    assert rows(FRONT + text + OFF) == wanted
    both = FRONT + text + OFF + "Right Front\nWork as left front, reversing all shaping.\n"
    # the other front binds off one row later, where a row begins at its armhole
    assert rows(both) == [*wanted, 30, 30, 30, *wanted[3:]]


def test_what_it_is_may_stand_in_the_sentences_below() -> None:
    text = (
        "Shape armhole: Dec 1 st at armhole edge every RS row twice.\nAt the same time, when "
        "armhole measures 1 cm, shape neck as follows:\nBind off 5 sts at neck edge once, then dec "
        "1 st at neck edge every row twice. 21 sts"
    )
    # loops go off where a row begins, at a left front's neck that is on the wrong side
    assert rows(FRONT + text + OFF) == [30, 30, 29, 29, 28, 23, 22, 21]


def test_until_so_many_remain_tells_of_the_other_one() -> None:
    text = (
        "Dec 1 st at armhole edge every row until 26 sts rem and at the same time dec 1 st at neck "
        "edge every other row twice."
    )
    assert "comes to 24" in faults(FRONT + text + OFF)[0]


@pytest.mark.parametrize(
    "text",
    [
        "Dec 1 st at armhole edge every row 4 times, at the same time work the buttonholes.",
        "At the same time, when it is long enough, shape the neck as for back.",
    ],
)
def test_what_is_not_told_apart_is_not_read(text: str) -> None:
    assert any("at the same time" in f for f in faults(FRONT + text + OFF))


def test_rows_written_out_take_no_other_shaping() -> None:
    text = (
        "Row 1: ssk, k to end.\nRow 2: purl.\nAt the same time, dec 1 st at neck edge every row "
        "twice."
    )
    assert "is written out" in faults(FRONT + text + OFF)[0]


CHART = "Chart A (6 sts)\nRow 1: k1, yo, k4, p1.\nRow 2: p1, p2tog, p4.\n"


def test_a_chart_is_worked_by_its_name() -> None:
    scarf = (
        "\nScarf\nCast on 10 sts.\nRow 1: k2, work Row 1 of Chart A, k2.\nRow 2: k2, work Chart A, "
        "k2.\nRep last 2 rows once.\nBind off.\n"
    )
    assert rows(CHART + scarf) == [11, 10, 11, 10]
    assert rows(scarf + "\n" + CHART) == [11, 10, 11, 10]
    across = "\nScarf\nCast on 6 sts.\nWork Chart A twice. Work rows 1-2 of Chart A.\nBind off.\n"
    assert rows(CHART + across) == [7, 6, 7, 6, 7, 6]


def test_a_chart_over_so_many_goes_on_row_by_row() -> None:
    chart = "Chart B\nRow 1: k2, p1.\nRow 2: k1, p2.\n"
    scarf = "\nScarf\nCast on 10 sts.\nRow 1: k2, work Chart B over next 6 sts, k2.\nBind off.\n"
    assert rows(chart + scarf) == [10]
    assert "needs" in faults(chart + scarf.replace("6 sts", "7 sts"))[0]


def test_a_drawn_chart_is_named_with_what_to_do() -> None:
    told = faults("Scarf\nCast on 10 sts.\nRow 1: k2, work Chart A, k2.\nBind off.\n")
    assert "under a heading 'Chart A'" in told[0]


def test_a_cast_on_is_taken_out_again() -> None:
    begin = "Using a provisional cast on, CO 20 sts. Knit 2 rows. Bind off.\n"
    again = "Remove provisional cast-on and place 20 sts on needle. Knit 1 row. Bind off.\n"
    assert rows(begin + again) == [20, 20, 20]
    told = faults(begin + "Undo the provisional cast-on and place live sts on a needle. Graft.\n")
    assert told  # how many there are is not said


def test_shaping_on_each_side_of_markers() -> None:
    hat = "Cast on 60 sts and join in the round.\nRnd 1: k15, pm, k30, pm, k15.\n"
    text = "Dec 1 st before and after each marker every other rnd twice. 52 sts\nBind off.\n"
    assert rows(hat + text) == [60, 60, 56, 56, 52]
    one = "Inc 1 st each side of marker every rnd twice.\nBind off.\n"
    assert rows(hat.replace(", pm, k15.", ", k15.") + one) == [60, 62, 64]
    assert "there are 2" in faults(hat + one)[0]
