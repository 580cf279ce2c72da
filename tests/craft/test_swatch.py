"""The gauge from swatches, and how far to trust it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.refusal import Refusal
from engine.craft.swatch import from_work, read_swatch, reading
from models.swatch import Swatch


def test_stitches_divided_by_measurement():
    # anniescatalog.com, "Gauge": stitches/rows divided by measurement equals gauge.
    found = reading([read_swatch("20 x 28 over 4 x 4 in")])
    assert found.gauge.loops_per_cm * 2.54 == pytest.approx(5)
    assert found.gauge.rows_per_cm * 2.54 == pytest.approx(7)


def test_a_loop_yarn_throw():
    # hometalk.com, "How to finger knit with loop yarn": 65 loops across, about 51 in: 5 per 10 cm.
    found = reading([Swatch(loops=65, rows=50, width_cm=51 * 2.54, height_cm=130)])
    assert found.gauge.loops_per_10cm == pytest.approx(5, abs=0.1)
    # Craft Yarn Council, Standard Yarn Weight System: jumbo (7) is 6 stitches or fewer.
    assert found.gauge.loops_per_10cm <= 6


def test_units_may_be_written_or_meant():
    written = read_swatch("8x7 over 6 x 7 in")
    assert written == read_swatch("8 x 7 / 6 x 7", unit="in")
    assert written.width_cm == pytest.approx(15.24)
    assert read_swatch("8 × 7 over 15 × 18 cm, 84 g").grams == 84


@pytest.mark.parametrize(
    "said", ["", "8 over 10", "8 x 7", "0 x 7 over 10 x 10", "a x b over c x d"]
)
def test_what_is_no_swatch_is_refused(said):
    with pytest.raises(Refusal, match="write loops x rows"):
        read_swatch(said)


def test_no_swatch_at_all_and_no_gauge_of_yarn():
    with pytest.raises(Refusal, match="at least one"):
        reading([])
    with pytest.raises(Refusal, match="no gauge of yarn"):
        reading([Swatch(loops=500, rows=5, width_cm=10, height_cm=10)])


def test_two_swatches_weigh_by_their_size():
    found = reading([read_swatch("10 x 8 over 20 x 20"), read_swatch("6 x 4 over 10 x 10")])
    assert found.gauge.loops_per_10cm == pytest.approx(160 / 30)
    assert found.spread_loops == pytest.approx(1)


@given(st.lists(st.integers(6, 60), min_size=1, max_size=5), st.floats(3, 30))
def test_half_a_loop_miscounted_is_what_it_says(counts, gauge):
    """Independent: miscount one swatch by half a loop and look at the width it changes."""
    swatches = [
        Swatch(loops=n, rows=n, width_cm=n / gauge * 10, height_cm=10 * n / gauge) for n in counts
    ]
    found = reading(swatches, 100)
    one = swatches[0].model_copy(update={"loops": swatches[0].loops + 0.5})
    wrong = reading([one, *swatches[1:]]).gauge.loops_per_10cm
    shift = wrong / found.gauge.loops_per_10cm - 1
    # All err at once, independently: the shares add up as the root of the sum of squares.
    assert found.miscount == pytest.approx(shift * len(counts) ** 0.5)


def test_a_small_swatch_warns_what_it_means_over_the_whole_width():
    found = reading([read_swatch("4 x 4 over 8 x 10")], across_cm=100)
    assert any("only 8.0 by 10.0 cm" in warning for warning in found.warnings)
    assert any("changes 100 cm by 12.5 cm" in warning for warning in found.warnings)
    # As many loops as it asks for are then enough.
    assert not reading([read_swatch("10 x 10 over 20 x 26")], across_cm=100).warnings


def test_swatches_that_differ_warn():
    found = reading([read_swatch("10 x 8 over 20 x 20"), read_swatch("12 x 8 over 20 x 20")])
    assert any("differ by 1.0 loops" in warning for warning in found.warnings)


def test_the_gauge_of_the_work_itself():
    assert from_work(12, 31) == pytest.approx(3.87, abs=0.01)
    with pytest.raises(Refusal):
        from_work(0, 31)
    with pytest.raises(Refusal):
        from_work(3, 0)
