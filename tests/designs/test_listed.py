"""Garments from a list of numbers: what is read, what does not fit, and what comes of it.

The sum across is the craft's own arithmetic: the last loop of a bind-off is the first of the next
panel (common practice, no source). Numbers of the examples by hand.
"""

import pytest

from engine.base.refusal import Refusal
from engine.plan.listed.garment import check_list, is_list, plan_of_list
from engine.plan.planning import script_for
from models.gauge import Gauge
from models.script import Craft, Kind, RowScript

USUAL = "foundation 42, front 9 to 5 over 8, bind 4, back 18, sleeve 25 to 15"

# the same garment, as others would write it
ALIKE = [
    USUAL,
    "front 9-5 over 8, bind 4, back 18, sleeve 25-15",
    "foundation 42 front 9 to 5 over 8 bind 4 back 18 sleeve 25 to 15",
    "Foundation 42 / front 9 to 5 over 8 / bind 4 / back 18 / sleeve 25 to 15",
    "42 foundation loops; 9 front loops to 5 over 8; 4 bind at the armholes; 18 back loops; "
    "25 sleeve loops to 15",
    "Foundation row: 42 loops\nBody: knit to a height of your own\n"
    "Fronts: 9 loops each, decrease to 5 over 8 rows\nArmholes: bind off 4\n"
    "Back: 18 loops, 8 rows\nSleeves: pick up 25 loops, decreasing every other row to 15",
    "cast on 42. front 9, decrease 4 times in 8 rows. underarm: bind off 4. back 18. sleeve 25, "
    "cuff 15",
    "My spring cardigan\nfoundation: 42\nfront: 9 → 5, 8 rows\narmhole bind: 4\nback: 18, 8 rows\n"
    "sleeve: 25 → 15",
    "foundation 42, front 9, shoulder 5, armhole 8 rows, bind 4, back 18, sleeve 25 to 15",
    "Foundation 42, front 9 to 5 over 8, back 18, sleeve 25 to 15",
    "foundation 42; two fronts 9 to 5 over 8; 2 armholes: bind 4; back 18; both sleeves 25 to 15",
]


@pytest.mark.parametrize("text", ALIKE, ids=range(len(ALIKE)))
def test_it_is_read_however_it_is_written(text: str) -> None:
    assert plan_of_list(text).counts == {
        "foundation": 42,
        "front": 9,
        "back": 18,
        "underarm": 3,
        "neck": 8,
        "armhole rows": 8,
        "sleeve": 25,
        "cuff": 15,
    }


def loops(script: RowScript, part: str, kind: Kind) -> list[int]:
    """Loops after each row of a part."""
    return [s.loops_after for s in script.steps if s.part == part and s.kind is kind]


@pytest.mark.parametrize("craft", Craft)
@pytest.mark.parametrize("gauge", [(5, 3.75), (8, 9)])
def test_the_hands_have_what_it_says(craft: Craft, gauge: tuple[float, float]) -> None:
    worked = Gauge(loops_per_10cm=gauge[0], rows_per_10cm=gauge[1])
    script = script_for(plan_of_list(USUAL, gauge=worked, craft=craft))  # proven by the audit
    assert set(loops(script, "body", Kind.ROW)) == {42}
    for front in ("right front", "left front"):
        assert loops(script, front, Kind.ROW) == [8, 8, 7, 7, 6, 6, 5, 5]
    assert loops(script, "back", Kind.ROW) == [18] * 8
    for sleeve in ("right sleeve", "left sleeve"):
        rounds = loops(script, sleeve, Kind.ROUND)
        assert (rounds[0], rounds[-1]) == (25, 15)
        assert rounds == sorted(rounds, reverse=True)


def test_sizes_stand_side_by_side() -> None:
    text = (
        "Sizes: S (M, L)\nFoundation 42 (46, 50)\nFronts 9 (10, 11) to 5 (6, 6) over 8 (8, 10)\n"
        "Bind 4\nBack 18 (20, 22)\nSleeve 25 (25, 29) to 15\n"
    )
    assert is_list(text)
    checked = check_list(text)
    assert checked.sound
    assert [count.size for count in checked.counts] == ["S", "M", "L"]
    assert plan_of_list(text, size="l").counts["front"] == 11
    with pytest.raises(Refusal, match="no size 'XL'; it has S, M, L"):
        plan_of_list(text, size="XL")


def test_lengths_and_rows_go_where_they_are_said() -> None:
    plan = plan_of_list("foundation 42, work 20 rows, " + USUAL[15:] + ", sleeve length 41.5 cm")
    assert plan.rows["body"] == 20
    assert plan.rows["right sleeve"] == 20  # 41.5 cm are 16 rounds, ten decreases need 20
    assert plan_of_list(USUAL + ", body 18 in").measures["body_height"] == 45.72


# what stands instead of what, and what is told
MISFITS = [
    ("foundation 40", "foundation 42",
     "2 × front + back + 2 × (bind − 1) is 42, the foundation 40; lay out 42"),
    ("over 6", "over 8", "4 decreases, one in every other row: that is 7 rows, and there are 6"),
    ("back 18 over 10", "back 18", "the fronts have 8 rows and the back 10"),
    ("sleeve 24", "sleeve 25", "sleeve 24 is 3 along the underarm and 21 along two equal sides"),
    ("sleeve 41", "sleeve 25", "more than two from each"),
    ("15 over 12", "15", "that is 20 rounds, and there are 12"),
    ("front 9 to 9", "front 9 to 5", "its neck is shaped"),
    ("42, body 31 rows", "42", "the yarn waits at the left edge"),
    ("front 12 to 10 over 8, bind 4, back 12", "front 9 to 5 over 8, bind 4, back 18",
     "two shoulders of 10 are 20, and the back has 12"),
    ("bind 1, back 24", "bind 4, back 18", "takes no loop away"),
]  # fmt: skip


@pytest.mark.parametrize(("now", "was", "told"), MISFITS, ids=[m[0] for m in MISFITS])
def test_what_does_not_fit_is_told_with_its_sum(now: str, was: str, told: str) -> None:
    text = USUAL.replace(was, now, 1)
    assert text != USUAL
    with pytest.raises(Refusal) as refused:
        plan_of_list(text)
    assert told in str(refused.value)
    assert any(told in f.sentence() for f in check_list(text).faults)


# what is no such list, and a word of the reason
UNREAD = [
    (USUAL + ", collar 4", "collar"),
    (USUAL + " every 3rd row", "every other row only"),
    (USUAL.replace(" over 8", ""), "how many rows the armholes have"),
    ("foundation 42, sleeve 25 to 15", "does not say the front nor the bind nor the back"),
    (USUAL.replace("bind 4", "bind 4 rows"), "not plain"),
    (USUAL.replace("bind 4", "bind 4.5"), "no whole number"),
    (USUAL + ", back 20", "second number for the back"),
    ("42, 9, 4, 18", "does not say what it is of"),
    ("foundation 42 (46), front 9 (10, 11) to 5 over 8, bind 4", "2 sizes and others for 3"),
]


@pytest.mark.parametrize(("text", "why"), UNREAD, ids=range(len(UNREAD)))
def test_no_number_is_guessed_or_left_out(text: str, why: str) -> None:
    with pytest.raises(Refusal, match=why):
        plan_of_list(text)


def test_a_pattern_in_rows_is_no_list() -> None:
    assert is_list(USUAL)
    assert is_list(ALIKE[5])
    assert not is_list("Cast on 42 loops.\nRow 1: knit.\nFront: 9 loops.\nBack: 18 loops.")
    assert not is_list("Cast on 20 sts.\nKnit 30 rows.\nBind off all sts.")


def test_what_has_no_such_numbers_says_so() -> None:
    with pytest.raises(Refusal, match="scarf is not worked from a list"):
        plan_of_list(USUAL, "scarf")
    with pytest.raises(Refusal, match="vest has no sleeves"):
        plan_of_list(USUAL, "vest")
    assert script_for(plan_of_list(USUAL.partition(", sleeve")[0], "vest")).steps
