"""A pattern at another gauge keeps its measurements and its sides, or is refused with both figures.

Centimetres are loops over loops per cm and rows over rows per cm (plane geometry).
"""

import pytest

from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern
from engine.pattern.make import plan_from_text, script_of
from engine.pattern.resize import resize
from engine.pattern.write import write
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.plan.resized import resized, written
from models.gauge import Gauge
from models.script import Craft, Hand, RowScript

HEAD = "Craft: needles\nGauge: 20 x 30\nPart: piece\nCast on 60 sts.\n"
OWN = Gauge(loops_per_10cm=20, rows_per_10cm=30)


def measured(script: RowScript) -> dict[str, tuple[float, float]]:
    """Width and height of every part that has rows, cm."""
    parts: dict[str, list[int]] = {}
    for step in script.steps:
        if step.counts_row:
            parts.setdefault(step.part, []).append(step.loops_before)
    gauge = script.gauge
    return {p: (max(n) / gauge.loops_per_cm, len(n) / gauge.rows_per_cm) for p, n in parts.items()}


@pytest.mark.parametrize("name", ["cap", "cowl", "vest", "shawl"])
@pytest.mark.parametrize("gauge", ["24 x 33", "13 x 19"])
def test_what_a_design_wrote_is_worked_out_anew(name: str, gauge: str) -> None:
    text = written(name, OWN, ("one size",), Craft.NEEDLES)
    text = text.replace("\n\n\n", "\n\n")
    again = resized(text, read_gauge(gauge)).text
    assert check_pattern(again).sound
    was, now = (measured(script_of(plan_from_text(t))) for t in (text, again))
    row, loop = 10 / 19, 10 / 13
    for part, (wide, high) in was.items():
        assert now[part][0] == pytest.approx(wide, abs=max(3 * loop, 0.06 * wide))
        assert now[part][1] == pytest.approx(high, abs=max(3 * row, 0.08 * high))


def test_a_left_handed_design_is_worked_out_anew() -> None:
    text = written("cap", OWN, ("M",), Craft.NEEDLES, Hand.LEFT)
    gauge = read_gauge("18 x 26")
    assert resized(text, gauge).text == written("cap", gauge, ("M",), Craft.NEEDLES, Hand.LEFT)


def test_a_design_with_measures_of_its_own_is_not_blamed_for_its_rows() -> None:
    plan = make_plan("shawl", read_gauge("5 x 3.75"), given={"width": 140.0})
    with pytest.raises(Refusal, match="measures or choices of its own") as refused:
        resized(write([script_for(plan)]), read_gauge("6 x 5"))
    assert "line" not in str(refused.value)


def test_one_that_was_changed_since_is_scaled_as_any_other() -> None:
    text = written("scarf", OWN, ("one size",), Craft.NEEDLES)
    changed = text.replace("Title: ", "Title: My ")
    assert changed != text
    assert "Title: My " in resized(changed, read_gauge("18 x 30")).text


@pytest.mark.parametrize("rows", [9, 10, 11, 12])
@pytest.mark.parametrize("gauge", ["20 x 33", "20 x 27", "20 x 36", "20 x 22"])
def test_rows_keep_their_sides(rows: int, gauge: str) -> None:
    text = HEAD + f"Knit {rows} rows.\nNext row: k1, k2tog, k to end.\nBind off all sts.\n"
    again = resize(text, read_gauge(gauge)).text
    sides = [
        next(s.side for s in script_of(plan_from_text(t)).steps if s.loops_after == 59)
        for t in (text, again)
    ]
    assert sides[0] == sides[1]


REFUSED = {
    "rows written one by one": ("Rows 1-40: knit.", "20 x 24", "16.7 cm high instead of 13.3"),
    "a repeat too wide": ("Row 1: *k29, p1; rep from * to end.", "13 x 30", "cm wide instead of"),
    "a side that flips": (
        "Work even until piece measures 10 cm.\nNext row: k2tog, k to end.", "20 x 31",
        "line 6 would come as a WS row instead of as a RS"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_kept_is_refused(name: str) -> None:
    body, gauge, why = REFUSED[name]
    with pytest.raises(Refusal) as refused:
        resize(HEAD + body + "\nBind off all sts.\n", read_gauge(gauge))
    assert why in str(refused.value)


def test_a_stretch_that_says_its_side_is_kept() -> None:
    body = "Work even until piece measures 10 cm, ending with a WS row.\nNext row: k2tog, k to end."
    text = resize(HEAD + body + "\nBind off all sts.\n", read_gauge("20 x 31")).text
    assert check_pattern(text).sound
