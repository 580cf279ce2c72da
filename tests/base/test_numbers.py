"""Numbers and lengths as people type them: understood, or refused with what was typed.

The worked lengths are arithmetic on 1 in = 2.54 cm, 1 ft = 12 in (exact since the international
yard and pound agreement of 1959, from memory); vulgar fractions are those of Unicode.
"""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.numbers import cm, length, number, span, whole
from engine.base.refusal import Refusal
from engine.craft.swatch import read_swatch
from engine.plan.planning import gauge_told, make_plan, read_gauge


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("6", 6),
        (" 6 ", 6),
        ("6.5", 6.5),
        ("6,5", 6.5),
        (".5", 0.5),
        (",5", 0.5),
        ("0,125", 0.125),
        ("41 1/2", 41.5),
        ("41-1/2", 41.5),
        ("41 1 / 2", 41.5),
        ("41½", 41.5),
        ("41 ½", 41.5),
        ("½", 0.5),
        ("1/2", 0.5),
        ("7⅜", 7.375),
        ("2 1⁄4", 2.25),
        ("４１．５", 41.5),
        ("٤١", 41),
        ("36.125", 36.125),
        ("6\u00a01/2", 6.5),
        ("6\u202f½", 6.5),
        ("100", 100),
        ("41 and a half", 41.5),
        ("a half", 0.5),
    ],
)
def test_a_number_is_what_its_typist_meant(typed, meant):
    assert number(typed) == pytest.approx(meant)


@pytest.mark.parametrize(
    "typed",
    [
        "",
        " ",
        "six",
        "6,",
        "6.",
        ".",
        "6.5.2",
        "6,5,2",
        "1.234,5",
        "1,234.5",
        "6 5",
        "41 1/0",
        "41 3/2",
        "41.5 1/2",
        "1/2/3",
        "-6",
        "−6",
        "+6",
        "6e2",
        "0x1f",
        "1_000",
        "inf",
        "nan",
        "6²",
        "Ⅵ",
        "④",
        "6%",
        "~6",
        "38-40",
        "1 000",
        "6 cm",
        "½6",
        "6½½",
        "6½5",
        "9" * 400,
        "6\n7",
    ],
)
def test_anything_else_is_refused_with_the_text_as_typed(typed):
    with pytest.raises(Refusal) as refusal:
        number(typed)
    said = str(refusal.value)
    assert "\n" not in said
    if 0 < len(typed.strip()) < 20 and "\n" not in typed:
        assert typed.strip() in said


def test_a_comma_before_three_figures_could_be_two_numbers_and_is_asked():
    with pytest.raises(Refusal, match=r"1,234.*could be") as refusal:
        number("1,234")
    assert "1.234" in str(refusal.value)


@pytest.mark.parametrize(
    ("typed", "in_cm"),
    [
        ("40 cm", 40),
        ("40cm", 40),
        ("40 CM", 40),
        ("40,5 cm", 40.5),
        ("400 mm", 40),
        ("1.6 m", 160),
        ("1,6m", 160),
        ("40 centimetres", 40),
        ("40 centimeters", 40),
        ('16"', 16 * 2.54),
        ("16”", 16 * 2.54),
        ("16″", 16 * 2.54),
        ("16''", 16 * 2.54),
        ("16 in", 16 * 2.54),
        ("16 in.", 16 * 2.54),
        ("16 inches", 16 * 2.54),
        ('16½"', 16.5 * 2.54),
        ('41 1/2"', 41.5 * 2.54),
        ("41 1/2 in", 41.5 * 2.54),
        ("5'3\"", 63 * 2.54),
        ("5' 3\"", 63 * 2.54),
        ("5′3″", 63 * 2.54),
        ("5’3”", 63 * 2.54),
        ("5'3", 63 * 2.54),
        ("5 ft 3 in", 63 * 2.54),
        ("5 feet 3½ inches", 63.5 * 2.54),
        ("5ft", 60 * 2.54),
        ("5'", 60 * 2.54),
        ("5' 3 1/2\"", 63.5 * 2.54),
        ("1 yard", 91.44),
        ("2 yd", 182.88),
    ],
)
def test_a_length_may_bring_its_unit(typed, in_cm):
    # Whatever the usual unit is.
    assert cm(typed, 1.0) == pytest.approx(in_cm)
    assert cm(typed, 2.54) == pytest.approx(in_cm)


@pytest.mark.parametrize("typed", ["6,5", "6.5", "6 1/2", "6½"])
def test_a_length_without_a_unit_is_in_the_usual_one(typed):
    assert cm(typed, 1.0) == pytest.approx(6.5)
    assert cm(typed, 2.54) == pytest.approx(6.5 * 2.54)
    assert length(typed).unit_cm is None


@pytest.mark.parametrize(
    "typed", ["", "cm", "40 cm 3", "40 kg", "5'13\"", "5'3'", '5"3', "40 cmm", "40 c", "5 in 3 ft"]
)
def test_a_length_that_is_none_is_refused_with_the_text_as_typed(typed):
    with pytest.raises(Refusal) as refusal:
        cm(typed, 1.0)
    assert typed in str(refusal.value)


def test_a_whole_number_is_whole():
    assert whole("12") == 12
    assert whole(" 12 ") == 12
    assert whole("12,0") == 12
    for typed in ("6,5", "6½", "12 cm", "-3", "x"):
        with pytest.raises(Refusal, match="whole number"):
            whole(typed)


@given(st.floats(0, 1000, allow_nan=False), st.sampled_from(".,"))
def test_what_is_written_with_two_places_reads_back(value, point):
    assert number(f"{value:.2f}".replace(".", point)) == pytest.approx(round(value, 2))


@given(st.integers(0, 999), st.sampled_from("¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"))
def test_every_fraction_of_the_keyboard_is_what_unicode_says(number_of, fraction):
    assert number(f"{number_of}{fraction}") == pytest.approx(
        number_of + unicodedata.numeric(fraction)
    )


@given(st.text(max_size=12))
def test_no_text_does_more_than_be_refused(text):
    for read in (number, whole, lambda typed: cm(typed, 1.0)):
        try:
            found = read(text)
        except Refusal as refusal:
            found = str(refusal).count("\n")
        assert 0 <= found < 1e12


@pytest.mark.parametrize(
    ("said", "loops", "rows"),
    [
        ("5 x 3.75", 5, 3.75),
        ("5 x 3,75", 5, 3.75),
        ("5x3¾", 5, 3.75),
        ("5 × 3 3/4", 5, 3.75),
        ("20 x 26 / 4in", 20 / 1.016, 26 / 1.016),
        ('20 x 26 / 4"', 20 / 1.016, 26 / 1.016),
        ("20 sts x 26 rows per 10 cm", 20, 26),
        ("20 stitches and 26 rows over 4 inches", 20 / 1.016, 26 / 1.016),
        ("20 x 26/10cm", 20, 26),
        ("20 x 26 / 10", 20, 26),
        ("10 x 13 / 50 mm", 20, 26),
        ("5,5 × 3,75 cm", 5.5, 3.75),
        ("5½ x 3¾ in", 5.5 / 1.016, 3.75 / 1.016),
        # one loop is so wide and so high
        ('2" x 1.5"', 10 / 5.08, 10 / 3.81),
        ("2,5 cm x 40 mm", 4, 2.5),
    ],
)
def test_a_gauge_is_read_by_the_same_reader(said, loops, rows):
    gauge = read_gauge(said)
    assert (gauge.loops_per_10cm, gauge.rows_per_10cm) == (
        pytest.approx(loops),
        pytest.approx(rows),
    )


@pytest.mark.parametrize(
    "said",
    [
        "5",
        "5 x",
        "five by four",
        "5 x 3,75 x 2",
        "20 x 26 / 4",
        "20 x 26/4",
        "0 x 5",
        "5 x 3/4",
        "0 cm x 5 cm",
        '2" x 1.5" / 4in',
        "5 x 4 m",
        "5 cm x 4",
    ],
)
def test_a_gauge_that_is_none_is_refused_as_typed(said):
    with pytest.raises(Refusal) as refusal:
        read_gauge(said)
    assert said in str(refusal.value)


def test_how_a_gauge_with_units_was_understood_is_told():
    """A loop's size and a count could be taken for each other."""
    said = '2" x 1.5"'
    assert gauge_told(said, read_gauge(said)) == "1.97 loops and 2.62 rows in 10 cm"
    assert gauge_told("5 x 3,75", read_gauge("5 x 3,75")) == ""


@pytest.mark.parametrize(
    ("typed", "either"), [("1.000", "1 or 1000"), ("12,000", "12.000 or 12000")]
)
def test_a_thousand_with_a_sign_in_it_is_asked(typed, either):
    """Half of Europe writes 1.000 where others write 1,000."""
    for read in (whole, number, length):
        with pytest.raises(Refusal, match=f"could be {either}"):
            read(typed)
    with pytest.raises(Refusal, match=r"2\.5 or 2500"):
        whole("2.500")
    assert number("2.500") == 2.5


def test_a_swatch_is_read_by_the_same_reader():
    wanted = read_swatch("8 x 7 over 15.5 x 18 cm, 84 g")
    for said in (
        "8 x 7 over 15,5 x 18 cm, 84 g",
        "8 × 7 over 15½ × 18 cm, 84 g",
        "8 loops by 7 rows over 15 1/2 cm by 18 cm, 84 g",
        "8 x 7 over 155 mm x 180 mm 84g",
    ):
        assert read_swatch(said) == wanted
    assert read_swatch('8 x 7 over 6" x 7"').width_cm == pytest.approx(6 * 2.54)


def test_a_range_has_its_unit_at_both_numbers():
    assert span(40, 200) == "40 cm to 200 cm"
    with pytest.raises(Refusal, match="give 40 cm to 200 cm"):
        make_plan("cardigan", read_gauge("5 x 4"), given={"bust": 20})
