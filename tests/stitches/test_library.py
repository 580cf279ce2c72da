"""Every stitch pattern, laid over widths and shapes: counts, columns as seen, refusals."""

from itertools import pairwise, product

import pytest

from engine.base.refusal import Refusal
from engine.pattern import check_pattern
from engine.stitches import NAMES, Cloth, laid, read_stitch, stitch_pattern
from models.gauge import Gauge
from models.script import Craft

EVERY = [(name, craft) for name in NAMES for craft in stitch_pattern(name).crafts]


def seen(row, *, back, craft):
    """The stitches as seen from the right side, from right to left."""
    found = [o for o in row for _ in range(o.times)]
    if back and craft is Craft.NEEDLES:
        return [o.entry.behind or o.stitch for o in reversed(found)]
    return [o.stitch for o in (reversed(found) if back else found)]


@pytest.mark.parametrize(("name", "craft"), EVERY)
def test_every_row_keeps_its_loops_over_any_width_and_shape(name, craft):
    pattern = stitch_pattern(name, craft)
    least = pattern.multiple + pattern.extra
    for wide, rounds in product(
        (least, least + 1, 3 * pattern.multiple + 5 + least), (False, True)
    ):
        cloth = Cloth.of(name, wide, craft, rounds=rounds)
        for number, (right, left) in product(
            range(1, 2 * cloth.height + 1), ((0, 0), (1, 0), (2, 5), (wide // 2, 0))
        ):
            if wide - right - left < 1 or (rounds and (right or left)):
                continue
            row = cloth.row(number, right, left)
            assert sum(o.takes for o in row) == wide - right - left
            assert sum(o.leaves for o in row) == wide - right - left


@pytest.mark.parametrize("name", NAMES)
def test_a_round_shows_what_a_row_shows(name):
    pattern = stitch_pattern(name)
    wide = 3 * pattern.multiple
    for number in range(1, 9):
        flat = Cloth.of(name, wide + pattern.extra, Craft.NEEDLES).row(number)
        ring = Cloth.of(name, wide, Craft.NEEDLES, rounds=True).row(number)
        shown = seen(flat, back=number % 2 == 0, craft=Craft.NEEDLES)
        ours = seen(ring, back=False, craft=Craft.NEEDLES)
        assert ours == shown[: len(ours)]


@pytest.mark.parametrize("name", [n for n in NAMES if Craft.LOOP in stitch_pattern(n).crafts])
def test_loop_yarn_shows_what_needles_show(name):
    pattern = stitch_pattern(name)
    wide = 2 * pattern.multiple + pattern.extra + 3
    alike = {"dec": {"k2tog", "ssk"}, "inc": {"kfb"}}
    for number in range(1, 9):
        back = number % 2 == 0
        loops, needles = (
            seen(Cloth.of(name, wide, craft).row(number), back=back, craft=craft)
            for craft in (Craft.LOOP, Craft.NEEDLES)
        )
        assert len(loops) == len(needles)
        for one, other in zip(loops, needles, strict=True):
            assert one == other or other in alike.get(one, ())


def test_moss_is_offset_and_rib_stands():
    # What the words mean: in moss each loop differs from the one below it, in a rib it does not.
    for name, same in (("moss", False), ("rib-1x1", True), ("rib-2x2", True)):
        pattern = stitch_pattern(name)
        wide = 3 * pattern.multiple + pattern.extra
        rows = laid(name, wide, 4, Craft.NEEDLES)
        columns = [seen(r, back=i % 2 == 1, craft=Craft.NEEDLES) for i, r in enumerate(rows)]
        for low, high in pairwise(columns):
            assert all((a == b) is same for a, b in zip(low, high, strict=True))


def test_repeats_lie_in_the_middle_and_stay_there():
    cloth = Cloth.of("cable-4", 25, Craft.NEEDLES)  # 3 repeats of 6 and 2, 5 plain loops
    whole = seen(cloth.row(3), back=False, craft=Craft.NEEDLES)
    assert whole == ["k"] * 2 + ["p"] * 2 + ["2/2 rc", "p", "p"] * 3 + ["k"] * 3
    shaped = seen(cloth.row(3, right=3), back=False, craft=Craft.NEEDLES)
    # What is left of the gutter is still purled, and all three cables lie where they lay.
    assert shaped == ["p"] + ["2/2 rc", "p", "p"] * 3 + ["k"] * 3
    # One more step into the first cable, and what is left of it is plain.
    torn = seen(cloth.row(3, right=5), back=False, craft=Craft.NEEDLES)
    assert torn == ["k"] * 3 + ["p"] * 2 + ["2/2 rc", "p", "p"] * 2 + ["k"] * 3


@pytest.mark.parametrize("name", NAMES)
def test_every_file_is_a_pattern_that_the_reader_takes(name):
    pattern = stitch_pattern(name)
    loops = pattern.multiple * 2 + pattern.extra
    text = "Craft: needles\nGauge: 20 x 28\n"
    text += f"Cast on {loops} sts.\n{pattern.text}\nBind off all sts.\n"
    assert not check_pattern(text).faults
    assert pattern.source
    assert pattern.swatch(Gauge(loops_per_10cm=20, rows_per_10cm=28)) >= 30


def test_what_does_not_go_is_refused_with_what_to_do():
    with pytest.raises(Refusal, match="they are basket"):
        stitch_pattern("houndstooth")
    with pytest.raises(Refusal, match="not with loop yarn: choose one of"):
        stitch_pattern("old shale", Craft.LOOP)
    with pytest.raises(Refusal, match="wants at least 11 loops, and here are 7"):
        laid("basket", 7, 2, Craft.LOOP)


SIX = "Multiple of 6\n"
WAVE = ("k2tog", "k", "yo", "k", "yo", "k", "ssk")


@pytest.mark.parametrize(
    ("written", "as_rows"),
    [
        # In rounds each row is seen as it is worked; turned, the second is what it hides.
        ("Rnd 1: *k2, p4; rep from * to end.\nRnd 2: *k1, p5; rep from * to end.",
         "Row 1: *k2, p4; rep from * to end.\nRow 2: *k5, p1; rep from * to end."),
        # One that begins on the wrong side shows its second row first.
        ("Row 1 (WS): *k5, p1; rep from * to end.\nRow 2: *k2, p4; rep from * to end.",
         "Row 1: *k2, p4; rep from * to end.\nRow 2: *k5, p1; rep from * to end."),
        ("1st row (wrong side): *k5, p1; rep from * to end.\n2nd row: *k2, p4; rep from * to end.",
         "R1: *k2, p4; rep from * to end.\nR2: *k5, p1; rep from * to end."),
        ("1st round: *k2, p4; rep from * to end.\n2nd round: *k1, p5; rep from * to end.",
         "1. *k2, p4; rep from * to end.\n2. *k5, p1; rep from * to end."),
        ("Row 1 and all other WS rows: purl.\nRow 2: *k2, p4; rep from * to end.",
         "Row 1 (RS): *k2, p4; rep from * to end.\nRow 2: purl."),
    ],
)  # fmt: skip
@pytest.mark.parametrize("rounds", [False, True])
def test_rounds_and_a_first_row_of_the_wrong_side_mean_what_they_say(written, as_rows, rounds):
    one, other = (read_stitch("it", SIX + text) for text in (written, as_rows))
    for row in range(1, 5):
        shown, wanted = (
            Cloth.of(each, 24, Craft.NEEDLES, rounds=rounds).row(row) for each in (one, other)
        )
        assert shown == wanted


def test_the_edge_is_left_out_of_rounds_on_whichever_side_it_is_written():
    # Lace is mostly written with a stitch at either edge: by hand, the repeat is what the star has.
    text = "Multiple of 7 + 2\nRow 1: k1, *k2tog, k1, yo, k1, yo, k1, ssk; rep from * to last st, "
    leaf = read_stitch("leaf", f"{text}k1.\nRow 2: purl.")
    around = Cloth.of(leaf, 21, Craft.NEEDLES, rounds=True)
    assert [o.stitch for o in around.row(1) for _ in range(o.times)] == [*WAVE] * 3
    assert [o.stitch for o in around.row(2)] == ["k"]
    assert [o.stitch for o in Cloth.of(leaf, 23, Craft.NEEDLES).row(1)] == ["k", *WAVE * 3, "k"]


def test_rows_and_rounds_in_one_pattern_are_refused():
    with pytest.raises(Refusal, match="has rows and rounds: write all of them as one"):
        read_stitch("it", SIX + "Row 1: knit.\nRnd 2: *k2, p4; rep from * to end.")


@pytest.mark.parametrize(
    "said", ["6 + 2", "6 sts + 2", "6 stitches, plus 2", "6 sts plus 2 sts", "6+2 loops"]
)
def test_a_multiple_is_read_as_people_write_it(said):
    found = read_stitch("it", f"Worked over a multiple of {said}.\nRow 1: knit.\nRow 2: purl.")
    assert (found.multiple, found.extra) == (6, 2)


@pytest.mark.parametrize(
    "line", ["Set-up row (WS): purl.", "All WS rows: purl", "Every round: knit"]
)
def test_a_row_without_a_number_is_not_left_out_unsaid(line):
    with pytest.raises(Refusal, match="stands before the first row"):
        read_stitch(
            "it", f"{SIX}About: waves in four rows: soft\n{line}\nRow 1: knit.\nRow 2: purl."
        )
