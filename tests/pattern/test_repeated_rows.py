"""`Rows 3 and 4: rep rows 1 and 2`: each row is the next one of those that are repeated.

What does not say how many rows are meant, or whose, is asked and not counted. Counts by hand.
"""

import pytest

from engine.pattern.check import check_pattern
from models.pattern import PatternCheck, Severity

HEAD = "Gauge: 20 x 26\nCO 16, join\nRnd 1: (k2, m1) around\nRnd 2: (k3, m1) around\n"
YOKE = (
    "Gauge: 20 x 26\nPart: yoke\nCO 16, join\nRnd 1: k\nRnd 2: (k2, m1) around\n"
    "Part: body\nRnd 1: p\nRnd 2: (k3, m1) around\n"
)
BY_THIRDS = "*k1, k2tog* to end."
CLOTH = (
    "Craft: needles\nGauge: 20 x 26\nStitch pattern:\nRow 1: knit.\n"
    "Row 2: *k1, kfb; rep from * to end.\nRows 3 and 4: {}\n{}"
    "Cloth\nCO 16 sts.\nWork in pattern for {} rows.\n"
)
"""A stitch that is described above the first loop, or under a heading of stitches."""


def _faults(found: PatternCheck) -> list[str]:
    return [f.text for f in found.faults if f.severity is not Severity.WARNING]


@pytest.mark.parametrize(
    ("text", "most"),
    [
        # 16, 24, 32, then 48 and 64
        (f"{HEAD}Rnds 3 and 4: Rep rnds 1 and 2.\n", 64),
        (f"{HEAD}Rnds 3, 4: Rep rnds 1 and 2.\n", 64),
        (f"{HEAD}Rnds 3-4: Rep rnds 1-2.\n", 64),
        (f"{HEAD}Rnd 3: (k2, m1) around\nRnd 4: (k3, m1) around\n", 64),
        (f"{HEAD}Next 2 rnds: Rep rnd 1 and rnd 2.\n", 64),
        # 96 and 128 as well
        (f"{HEAD}Rnds 3-6: Rep rnds 1 and 2 twice.\n", 128),
        # 16, 24, 24, 36 in pattern, and back to 24 and 16 by thirds
        (CLOTH.format("rep rows 1 and 2.", f"Row 5: {BY_THIRDS}\nRow 6: {BY_THIRDS}\n", 6), 36),
        # the yoke's 16 to 24, the body's to 32; then the one that is named
        (f"{YOKE}Rep rnds 1 and 2 of the yoke.\n", 48),
        # a heading within a part is a name as well: 16 and two, one fewer, two more again
        (
            "Gauge: 20 x 26\nCO 16.\nShape thumb gusset:\nRow 1: k2, m1, k to last 2 sts, m1, k2.\n"
            "Row 2: p\nShape top:\nRow 1: k2tog, k to end.\nRow 2: p\n"
            "Rep rows 1 and 2 of the thumb gusset.\n",
            19,
        ),
        (f"{YOKE}Rnds 3-4: As rnds 1-2 of yoke.\n", 48),
        (f"{YOKE}Rnd 3: Work as rnd 2 of the yoke.\n", 48),
    ],
)
def test_rows_repeated_are_those_that_are_named(text: str, most: int) -> None:
    found = check_pattern(f"{text}Bind off\n")
    assert not _faults(found)
    assert [size.most_loops for size in found.counts] == [most]


@pytest.mark.parametrize(
    "said",
    [
        "Work Lace Pattern 5 times.",
        "Work the 4 rows of lace pattern 5 times, or until it is as long as you like.",
        "Work 5 repeats of the Lace Pattern.",
        "Repeat the pattern five times.",
        "Work in pattern until 5 repeats have been worked.",
        "Work rows 1-4 of Lace Pattern 5 times in all.",
        "Work Lace Pattern twice.\nRepeat these 4 rows 5 times in all.",
    ],
)
def test_a_stitch_by_its_name_is_worked_so_many_times(said: str) -> None:
    text = (
        "Gauge: 20 x 26\nLace Pattern (multiple of 2)\nRow 1: *yo, k2tog; rep from * to end.\n"
        "Row 2: purl.\nRow 3: knit.\nRow 4: purl.\nDirections\nCO 20 sts. Knit 6 rows.\n"
    )
    found = check_pattern(f"{text}{said}\nKnit 6 rows.\nBO.\n")
    assert not _faults(found)
    assert [size.rows for size in found.counts] == [32]  # 6, 20 and 6


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (f"{HEAD}Rnd 3: Rep rnds 1 and 2.\n", "all worked, which are 2, or one of them alone"),
        (f"{HEAD}Next rnd: Rep rnds 1 and 2.\n", "all worked, which are 2, or one of them alone"),
        (f"{HEAD}Rnds 3-5: Rep rnds 1 and 2.\n", "3 rows, and rows 1 and 2 are 2 rows"),
        (f"{HEAD}Rnds 3-4: Rep rnds 1 and 2 twice.\n", "rows 1 and 2 are 2 rows worked 2 times"),
        (f"{HEAD}Rnd 3: As rnd 2 twice.\n", "is 1 row, and row 2 is 1 row worked 2 times"),
        (CLOTH.format("knit.", "", 4), "whose rows make 24 stitches of 16"),
        (CLOTH.format("rep rows 1 and 2 twice.", "", 4), "rows 1 and 2 are 2 rows worked 2 times"),
        (f"{YOKE}Rep rnds 1 and 2 of the sleeve.\n", "several parts have such rows"),
    ],
)
def test_what_leaves_open_how_many_rows_or_whose_is_asked(text: str, told: str) -> None:
    assert any(told in fault for fault in _faults(check_pattern(f"{text}Bind off\n")))


@pytest.mark.parametrize(
    ("said", "rows"),
    [
        # one round above, three below; the pattern's two rounds where they stand, or in all
        ("Repeat these 2 rounds 5 times.", 1 + 12 + 3),
        ("Work the 2 rounds 5 times.", 1 + 10 + 3),
        ("Work in pattern for 10 rounds.", 1 + 10 + 3),
        ("Work in pattern until piece measures 5 cm.", 10 + 3),
        ("", 1 + 2 + 3),
    ],
)
def test_a_stitch_that_is_told_among_the_work_loses_no_row_of_it(said: str, rows: int) -> None:
    found = check_pattern(
        "Gauge: 20 x 20\nCO 36 sts, join.\nPurl 1 round.\n\nWave pattern (18 sts, 2 rounds)\n"
        "Round 1: knit.\n"
        "Round 2: *(k2tog) 3 times, (yo, k1) 6 times, (k2tog) 3 times; rep from *.\n"
        f"{said}\nPurl 1 round, knit 1 round, purl 1 round. BO.\n"
    )
    assert not _faults(found)
    assert [size.rows for size in found.counts] == [rows]
