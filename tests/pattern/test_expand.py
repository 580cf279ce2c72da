"""A row worked on a number of loops, to the letter: what it takes, leaves, and what is told of it.

Counts by hand. What `decide` and `readings` make of a row is tested in `test_readings`; markers,
gaps and turned rounds stand below, where the row is worked by `work` itself.
"""

import tomllib
from pathlib import Path
from random import Random

import pytest
from lark.exceptions import LarkError

from engine.base.refusal import Refusal
from engine.pattern.check import check_row
from engine.pattern.count.decide import work_row
from engine.pattern.count.expand import DEPTH_AT_MOST, work
from engine.pattern.count.plain_rows import plain_row
from engine.pattern.count.tally import RowSetting, Tally
from engine.pattern.count.worked import TooMuch, Worked
from engine.pattern.text.grammar import parse
from engine.pattern.text.numbers import Spot
from engine.pattern.text.row_items import AsRow, Claim, Group, Item, Stitch
from models.pattern import Severity
from tests.pattern.apart.rows import row, takes
from tests.pattern.apart.spelling import Speller
from tests.times import times

Told = tuple[str, int, int, int, str, str]


def letters() -> list[Told]:
    """The row, on how many loops, takes, leaves, the column of what is told, and what is told."""
    text = (Path(__file__).parent / "corpus" / "letter.toml").read_text(encoding="utf-8")
    return [tuple(row) for row in tomllib.loads(text)["rows"]]


@pytest.mark.parametrize("row", letters(), ids=lambda row: f"{row[0]} on {row[1]}")
def test_rows_to_the_letter(row: Told) -> None:
    text, on, takes, leaves, where, told = row
    done = check_row(text, on)
    assert (done.takes, done.leaves) == (takes, leaves)
    found = [
        (f"{f.column}{'w' if f.severity is Severity.WARNING else ''}", f"{f.text}; {f.repair}")
        for f in done.faults
    ]
    assert found == ([(where, told)] if told else [])


def test_a_row_without_end_is_refused() -> None:
    with pytest.raises(Refusal, match="more stitches than a row can have"):
        check_row("(k9999) 9999 times", 10)


def items_of(text: str) -> tuple[Item, ...]:
    row = parse(text, "row_alone")
    return row.items  # type: ignore[no-any-return]


def by_hand(text: str, on: int, **setting: object) -> Worked:
    """A row that has one reading, worked in a setting."""
    return work(Tally(on, 0, RowSetting(**setting)), items_of(text))  # type: ignore[arg-type]


# markers after these loops; what it takes and leaves, and where they stand then
MARKED = [
    (
        "*k to 2 sts before marker, k2tog, sm; rep from * to end",
        30,
        (10, 20, 30),
        30,
        27,
        [9, 18, 27],
    ),
    ("*k to marker, m1, sm; rep from * to last 2 sts, k2", 20, (5, 18), 20, 22, [6, 20]),
    ("k to marker, sm, k2tog, k to end", 12, (4,), 12, 11, [4]),
    (
        "k1, *k to 1 st before marker, k2tog; rep from * to last 3 sts, k3",
        15,
        (5, 11),
        15,
        13,
        [4, 9],
    ),
    ("k to marker, rm, k to end", 9, (3,), 9, 9, []),
    ("k to 3 sts before marker, k2tog, k1, sm, k to end", 12, (8,), 12, 11, [7]),
]


@pytest.mark.parametrize("row", MARKED, ids=lambda row: row[0])
def test_markers_go_along(row: tuple[str, int, tuple[int, ...], int, int, list[int]]) -> None:
    text, on, marks, takes, leaves, after = row
    done = by_hand(text, on, marks=marks)
    assert done.misfits == []
    assert (done.takes, done.leaves, sorted(done.marks)) == (takes, leaves, after)


def test_a_repeat_between_markers_that_goes_beyond_or_nowhere_is_told() -> None:
    beyond = by_hand("*k to marker, k3; rep from * to end", 20, marks=(9, 18))
    assert [m.what for m in beyond.misfits] == ["comes 1 loop beyond where its repeat ends"]
    assert beyond.misfits[0].repair.startswith("place a marker before each repeat")
    nowhere = by_hand("*k to 4 sts before marker, sm; rep from * to end", 20, marks=(4, 18))
    assert [m.what for m in nowhere.misfits] == ["repeats something that takes no loop"]
    assert nowhere.misfits[0].repair == "say how many times"
    missing = by_hand("*k to marker, k1; rep from * to end", 20, marks=(9,))
    assert "goes to a marker, and there is none ahead" in missing.misfits[0].what


def test_a_turned_round_may_reach_beyond_its_beginning() -> None:
    whole = by_hand("k12, turn", 10, in_round=True, beyond=4)
    assert whole.misfits == []
    assert whole.turned
    far = by_hand("k15, turn", 10, in_round=True, beyond=4)
    assert [m.what for m in far.misfits] == ["needs 15 loops, 10 are there"]
    assert by_hand("k10, turn", 10, in_round=True, beyond=4).turned
    assert not by_hand("k10, turn", 10).turned
    assert [o.stitch for o in by_hand("k4, w&t", 10).operations] == ["k", "w&t"]
    assert [o.stitch for o in by_hand("k4, turn", 10).operations] == ["k", "turn"]


def test_a_step_that_is_no_row_leaves_the_others_alone() -> None:
    assert by_hand("bo 4", 10, strict=False).misfits == []
    assert [m.what for m in by_hand("bo 4", 10).misfits] == ["needs 4 loops, 10 are there"]
    assert by_hand("bo 12", 10, strict=False).misfits[0].what == "needs 12 loops, 10 are there"


def test_a_count_said_before_a_misfit_is_not_held_against_it() -> None:
    assert len(by_hand("k to marker (9 sts)", 10).misfits) == 1
    assert len(by_hand("k8 (9 sts)", 10).misfits) == 1


def test_a_claim_can_be_mended_by_its_number() -> None:
    (off,) = by_hand("k10 (9 sts)", 10).misfits
    assert [value for _, value in off.fixes] == [10]
    (fewer,) = by_hand("k2tog, k8 (3 sts decreased)", 10).misfits
    assert [value for _, value in fewer.fixes] == [1]
    (wrong,) = by_hand("k2tog, k8 (1 sts increased)", 10).misfits
    assert wrong.fixes == ()
    (none,) = by_hand("k10 (1 sts increased)", 10).misfits
    assert [value for _, value in none.fixes] == [0]


def test_brackets_within_brackets_have_an_end() -> None:
    spot = Spot(1, 1)
    one = Group((Stitch((("k", 1),), spot), Stitch((("p", 1),), spot)), spot)
    deep = one
    for _ in range(DEPTH_AT_MOST - 2):
        deep = Group((deep, Stitch((("k", 1),), spot)), spot)
    assert work(Tally(DEPTH_AT_MOST, 0, RowSetting()), (deep,)).takes == DEPTH_AT_MOST
    deeper = Group((deep, Stitch((("k", 1),), spot)), spot)
    with pytest.raises(TooMuch):
        work(Tally(40, 0, RowSetting()), (deeper,))


def test_a_row_that_is_not_written_stops_the_count() -> None:
    spot = Spot(3, 7)
    done = work(Tally(9, 0, RowSetting()), (AsRow((), "setup row", spot),))
    assert [(m.spot, m.what, m.repair) for m in done.misfits] == [
        (spot, "is as a row that is not written", "write that row first")
    ]


def test_claims_stand_in_what_was_done() -> None:
    done = by_hand("k10 (10 sts)", 10)
    assert [c.number.whole(0) for c in done.claims if isinstance(c, Claim)] == [10]


def test_a_plain_row_is_what_the_long_way_comes_to() -> None:
    chance = Random(5)
    told = [
        "k3, p12, k2tog, yo, k3. 20 sts",
        "k3, (k1, p1) twice, ssk, k to last 3 sts, k3",
        "k2tog, k to end",
        "p2, (k1, p1) 3 times, C4F, p2 (1 st decreased)",
    ]
    rows = [(text, on) for text in told for on in (20, 21)]
    for _ in range(times(150)):
        made = row(chance)
        rows.append((Speller(chance).row(made)[0], takes(made) + chance.choice((0, 0, 0, 1))))
    plain = 0
    for text, on in rows:
        try:
            items = parse(text, "row_alone").items
        except (LarkError, ValueError, AttributeError):
            continue
        quick = plain_row(items, on, 0)
        if quick is not None:
            plain += 1
            worked, live, rests = work_row(items, on, 0)
            assert (quick, on, {}) == (worked, live, rests), text
    assert 10 < plain < len(rows)
