"""A pattern at another gauge: the geometry, the multiples kept, and every change listed."""

import contextlib
from pathlib import Path

import pytest

from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern
from engine.pattern.make import plan_from_text
from engine.pattern.resize import outcomes, resize
from engine.plan.planning import read_gauge, script_for

CORPUS = Path(__file__).parent / "corpus"
PANEL = """Title: Panel
Craft: needles
Sizes: S (M)
Gauge: 20 x 26
Part: panel
Cast on 71 (83) sts.
Row 1: K3, *p1, k3; rep from * to end.
Row 2: P3, *k1, p3; rep from * to end.
Rep rows 1 and 2 six times more.
Work even until piece measures 20 cm, ending with a WS row.
Dec 1 st at each end of every 4th row 6 times. 59 (71) sts.
Next row: k20 (26), p19, k20 (26).
Bind off all sts.
"""


def changes(text: str, gauge: str) -> dict[str, str]:
    return {c.was: c.now for c in resize(text, read_gauge(gauge)).changes}


def test_kept_counts_make_another_size_in_proportion() -> None:
    """Width is loops over loops per cm (plane geometry); an open length stays what was asked."""
    (one, _) = outcomes(PANEL, read_gauge("18 x 26"))
    assert (one.width_was, one.width_now) == (35.5, pytest.approx(35.5 * 20 / 18, abs=0.05))
    assert one.height_now == one.height_was
    scarf = (CORPUS / "scarf.txt").read_text(encoding="utf-8")
    (piece,) = outcomes(scarf, read_gauge("5 x 5"))
    assert piece.height_now == pytest.approx(150, abs=1)


def test_multiples_are_kept_and_the_width_is_near() -> None:
    found = changes(PANEL, "18 x 26")
    small, large = (int(n) for n in found["71 (83)"].rstrip(")").split(" ("))
    assert small % 4 == large % 4 == 3  # K3, *p1, k3 needs a multiple of 4 and 3 more
    assert abs(small - 71 * 0.9) <= 2
    assert abs(large - 83 * 0.9) <= 2


def test_edges_stay_symmetric_and_counts_are_written_anew() -> None:
    resized = resize(PANEL, read_gauge("18 x 24"))
    assert check_pattern(resized.text).faults == ()
    row = next(line for line in resized.text.splitlines() if line.startswith("Next row"))
    first, _, last = row.removeprefix("Next row: ").rstrip(".").split(", p19, ")[0], 0, row[-8:]
    assert first[1:] in row.split("p19, k")[1]
    assert last
    assert "59 (71) sts" not in resized.text


def test_every_change_is_listed_and_nothing_else_changes() -> None:
    resized = resize(PANEL, read_gauge("17 x 22"))
    was, now = PANEL.splitlines(), resized.text.splitlines()
    changed = {i for i, (a, b) in enumerate(zip(was, now, strict=True), 1) if a != b}
    assert changed == {c.line for c in resized.changes} | {4}
    for change in resized.changes:
        assert was[change.line - 1][change.column - 1 :].startswith(change.was)
        assert change.now in now[change.line - 1]


def test_the_recomputed_pattern_makes_the_same_measurements() -> None:
    resized = resize(PANEL, read_gauge("30 x 40"))
    for size in ("S", "M"):
        ours = script_for(plan_from_text(PANEL, size=size))
        theirs = script_for(plan_from_text(resized.text, size=size))
        for which in (ours, theirs):
            assert which.steps[0].loops_after
        wide = ours.steps[0].loops_after / ours.gauge.loops_per_cm
        assert theirs.steps[0].loops_after / theirs.gauge.loops_per_cm == pytest.approx(wide, abs=1)
        high = sum(s.counts_row for s in ours.steps) / ours.gauge.rows_per_cm
        told = sum(s.counts_row for s in theirs.steps) / theirs.gauge.rows_per_cm
        assert told == pytest.approx(high, rel=0.06)


def test_the_same_gauge_changes_nothing() -> None:
    resized = resize(PANEL, read_gauge("20 x 26"))
    assert resized.changes == ()
    assert resized.text == PANEL


@pytest.mark.parametrize("name", ["scarf", "ribbed_cap", "cowl", "bonnet"])
@pytest.mark.parametrize("gauge", ["10 x 14", "24 x 30"])
def test_patterns_of_the_corpus_come_out_sound_or_are_refused(name: str, gauge: str) -> None:
    text = (CORPUS / f"{name}.txt").read_text(encoding="utf-8")
    with contextlib.suppress(Refusal):
        assert check_pattern(resize(text, read_gauge(gauge)).text).sound


def test_what_cannot_be_resized_says_why() -> None:
    with pytest.raises(Refusal, match="states no gauge"):
        resize("Cast on 9 sts.\nRow 1: knit.\nBind off all.", read_gauge("5 x 4"))
    with pytest.raises(Refusal, match="mend it first"):
        resize(PANEL.replace("p19", "p18"), read_gauge("5 x 4"))


def test_shaping_beside_shaping_is_scaled_with_it() -> None:
    text = (
        "Title: Front\nCraft: needles\nGauge: 20 x 30\nPart: left front\nCast on 60 sts.\n"
        "Work in st st until piece measures 20 cm.\nDec 1 st at armhole edge every other row 10 "
        "times, at the same time dec 1 st at neck edge every 4th row 5 times.\nBind off all sts.\n"
    )
    found = resize(text, read_gauge("16 x 30"))
    assert check_pattern(found.text).sound
    assert [(c.was, c.now) for c in found.changes] == [("60", "48"), ("10", "8"), ("5", "4")]
