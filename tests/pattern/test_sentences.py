"""Sentences about rows: how many rows they come to, and how many loops are there after them."""

import pytest

from engine.pattern.check import check_pattern
from engine.pattern.count.count import Counting
from engine.pattern.make import plan_from_text, script_of
from engine.pattern.text.read import read
from models.gauge import Gauge
from models.pattern import Severity
from models.script import ROW_KINDS, Craft

GAUGE = Gauge(loops_per_10cm=20, rows_per_10cm=30)
HEAD = "Craft: needles\nGauge: 20 x 30\nPart: piece\nCast on 40 sts.\n"
THREE = "Row 1: knit.\nRow 2: purl.\nRow 3: k1, ssk, k to last 3 sts, k2tog, k1.\n"

# Three rows to a centimetre; 40 stitches to begin with. Worked out by hand.
CASES = [
    ("Knit 4 rows.", 4, 40),
    ("Purl 1 row.", 1, 40),
    ("Work 10 rows even.", 10, 40),
    ("Next 6 rows: k all sts", 6, 40),
    ("Work in k2, p2 rib for 5 cm.", 15, 40),
    ("Work in k1, p1 rib for 10 rows.", 10, 40),
    ("Work 4 rows in garter st.", 4, 40),
    ("Work in St st until piece measures 10 cm", 30, 40),
    ("Work in stockinette stitch until piece measures 4 in.", 30, 40),
    ("Work even until piece measures 10 cm / 4 in.", 30, 40),
    ("Cont in patt until work measures 9 cm, ending with a WS row.", 28, 40),
    ("Work even until piece measures 10 cm, about 33 rows.", 33, 40),
    ("Rows 1-4: knit.\nWork even until it measures 10 cm.", 30, 40),
    ("Row 1: knit.\nRow 2: purl.\nRepeat rows 1 and 2 six times more.", 14, 40),
    ("Row 1: knit.\nRow 2: purl.\nRep these 2 rows twice.", 6, 40),
    ("Row 1: knit.\nRow 2: purl.\nRep last 2 rows until piece measures 10 cm.", 30, 40),
    ("Row 1: knit.\nRows 2-6: as row 1.", 6, 40),
    ("Row 1: knit.\nRow 2: purl.\nRows 3-8: rep rows 1 and 2.", 8, 40),
    (THREE + "Row 4: as row 2.\nRep rows 3 and 4 4 times more.", 12, 30),
    (THREE + "Rep last row until 30 sts rem.", 7, 30),
    ("Row 1 and every other row: knit.\nRow 2: k2tog, k to end.\nRow 4: k2tog, k to end.", 4, 38),
    ("Row 2 and every alt row to row 8: purl.\nRow 3: knit.\nRow 5: knit.\nRow 7: knit.", 7, 40),
    ("1st and every alternate row: knit.\n2nd row: knit.\n4th row: k2tog, k to end.", 4, 39),
    ("All WS rows: purl.\nRow 1: knit.\nRow 3: k2tog, k to end.\nRow 5: knit.", 5, 39),
    ("All other rows: knit.\nRow 1: k.\nRow 4: k2tog, k to end.", 4, 39),
    ("Rows 1 and 4: k2tog, k to end.\nRows between: knit.\nRow 5: knit.", 5, 38),
    ("Even-numbered rows 2-6: purl.\nRow 1: knit.\nRow 3: knit.\nRow 5: knit.", 6, 40),
    ("Rows 1, 3 and 5: knit.\nRows 2, 4 and 6: purl.", 6, 40),
    ("Rows 1 and 3 (WS): purl.\nRow 2: k2tog, k to end.\nRow 4: k2tog, k to end.", 4, 38),
    ("Rows 2, 4 and 6: purl.\nRow 1: knit.\nRow 3: k2tog, k to end.\nRow 5: knit.", 6, 39),
    ("Rows 1 and 3: k2tog, k to end.\nRow 2: purl (39 sts).", 3, 38),
    ("Dec 1 st at each end of every 4th row 6 times.", 24, 28),
    ("Decrease 1 at each end of every 4th row 6 times", 24, 28),
    ("Dec 1 st at each end of next and every foll 4th row 5 times.", 21, 28),
    ("Dec 1 st at each end of next and every foll 4th row 6 times. 28 sts.", 21, 28),
    ("Dec 1 st at each end of next row, then every foll alt row 5 times more.", 11, 28),
    ("Inc 1 st at each end of every row until 60 sts rem.", 10, 60),
    ("Inc 1 st at each end of every RS row 5 times.", 9, 50),
    ("Dec 1 st at beg of every other row 3 times, then every 4th row twice.", 14, 35),
    ("Inc 6 sts evenly across.", 1, 46),
    ("Decrease 4 evenly across the row", 1, 36),
    ("Dec 1 st at each end.", 1, 38),
    ("Bind off 4 sts at beg of next 2 rows.", 2, 32),
    ("Cast off 3 sts at beg of next 4 rows. 28 sts.", 4, 28),
    ("Cast on 5 sts at beg of next 2 rows.", 2, 50),
    ("Dec row: k2tog, k to end.\nRep dec row every 4th row 5 times more.", 21, 34),
    ("Inc row (RS): k1, M1, k to end.\nRep inc row until there are 50 sts.", 10, 50),
    ("Rows 3–2: k3.\nRow 1: knit.", 1, 40),
    ("Shape neck:\nNext row (RS): k2tog, k to end.\nNext row: purl.", 2, 39),
    (
        "Set-up row: k20, pm, k20.\nRow 1: k to 2 sts before marker, k2tog, sm, ssk, k to end.",
        2,
        38,
    ),
    ("Row 1: Knit. Row 2: Purl. Rep rows 1 and 2 twice more.", 6, 40),
    ("Row 1: K2. *P2. K2. Rep from * to last 2 sts. P2. Next row: purl.", 2, 40),
    ("Knit 2 rows. Dec 1 st at each end of next row. 38 sts. Purl 1 row.", 4, 38),
    ("Next row: place marker, k to end.\nWork 3 rows even.", 4, 40),
    ("Row 1: knit.\nRow 2: purl.\nRepeat rows 1 and 2 for 20 rows in all.", 20, 40),
    ("Row 1: knit.\nRow 2: purl.\nRepeat these 2 rows for a total of 20 rows.", 20, 40),
    ("Row 1: knit.\nRow 2: purl.\nKeep going back and forth for 20 rows in all.", 20, 40),
    ("Row 1: knit.\nRow 2: purl.\nRepeat rows 1 and 2 5 times more, for 12 rows in all.", 12, 40),
    ("Row 1: knit.\nRow 2: purl.\nRep these 2 rows 5 times more - 12 rows in all.", 12, 40),
    ("Row 1: knit.\nRow 2: purl.\nRep rows 1 and 2 twice more for a total of 6 rows.", 6, 40),
    ("Work in st st for 20 rows in total.", 20, 40),
    ("Every row: knit.\nWork until piece measures 5 cm.", 15, 40),
    ("Row 1: k1, p to end.\nEach row: as row 1.\nRepeat until piece measures 5 cm.", 15, 40),
    ("Place marker after 10 sts.\nRow 1: k to marker, m1, k to end.", 1, 41),
    ("Row 1: 10x k2tog, k to end.\nRow 2: 3 x (k2tog, p1), k to end.", 2, 27),
    ("Row 1: k8, sl 1, k2, psso over both, k to end.", 1, 39),
    ("Row 1: *sl 1, k1, yo, psso over both; rep from *", 1, 40),
    ("Row 1: knit.\nRow 2: purl.\nWork rows 1 & 2 a total of 5 times. -> 40 sts.", 10, 40),
    ("1st row: K. 2nd row: K5, p to last 5 sts, k5. 3rd and 4th rows: knit.", 4, 40),
    ("1st row.—K2tog, k to end.\n2nd row.—As the 1st.", 2, 38),
    (
        "Change to moss stitch: every row: *k1, p1; rep from *.\nWork until it measures 5 cm.",
        15,
        40,
    ),
    ("Knit 2 rows.\nCast off ribwise.", 2, 0),
    # these rows, where none has a number: those of the line above
    ("Knit 6 rows.\nRepeat these rows 4 times.", 30, 40),
    ("Knit 3 rows. Purl 3 rows.\nRepeat these rows 4 times more.", 30, 40),
    # so many in all: those that stand above it are of them
    (
        "Row 1: k.\nRow 2: p.\nRep rows 1-2 3 times more.\nRep these 2 rows 10 times in all.",
        20,
        40,
    ),
    ("Row 1: k.\nRow 2: p.\nRow 3: same as previous row.\nRow 4: as row before.", 4, 40),
    # how many rows it says decides whether the first time is counted in
    ("Row 1: k.\nRow 2: p.\nRepeat rows 1 and 2 five times (10 rows in all).", 10, 40),
    ("Row 1: k.\nRow 2: p.\nRepeat rows 1 and 2 five times (12 rows total).", 12, 40),
    (
        "Row 1: k.\nRow 2: p.\nKeep repeating these two rows 5 times, for a total of 10 rows.",
        10,
        40,
    ),
    # and what a length comes to
    ("Keep knitting in garter stitch until piece measures 5 cm (20 rows).", 20, 40),
    ("Work in ribbing of k1, p1 for 2 inches (20 rows).", 20, 40),
    ("Dec 1 st at each end of next and every other row 3 times in all.", 5, 34),
    ("Row 1: *k1, yo twice; rep from * to end.\nRow 2: K across, dropping the yo's.", 2, 40),
    ("Rnd 1: *k1, yo; rep from * around.\nRnd 2: purl, dropping all yarn overs.", 2, 40),
    # six rows, and no inches
    ("Work 10 rows in k1, p1 rib, then 6 in garter st.", 16, 40),
    ("Work in st st until piece measures 4 cm, then 6 rows in garter st.", 18, 40),
    ("Row 1: k.\nRow 2: p.\nRepeat rows 1 and 2 for a total of 5 repeats.", 10, 40),
    ("Row 1 (right to left): 2 knit, 2 purl, 36 knit.", 1, 40),
    ("Work in garter st on the remaining sts for 24 rows ending with a WS row.", 24, 40),
    (
        "Row 1: k.\nRow 2: p.\nRepeat these 2 rows until there are 30 rows, ending with row 2.",
        30,
        40,
    ),
    ("Change to No. 8 needles and st.st. and continue straight for 12 rows.", 12, 40),
    ("Work 9 rounds of knit stitch: pull each new loop through the loop below.", 9, 40),
    ("Row 1: k.\nRow 2: p.\nRepeat these two rows until you have 16 rows of ribbing.", 16, 40),
    ("Row 1: k.\nRow 2: k2, m1, k.\nKeep doing Row 2 until you have 44 sts on your needle.", 5, 44),
    ("Row 1: k.\nRow 2: p.\nWork the 2 rows 18 times.", 36, 40),
    ("Row 1: k.\nRow 2: p.\nWork 28 rows in all, finishing with Row 2.", 28, 40),
    ("K 2 rows.\nPurl one more row, slipping the first st.", 3, 40),
    ("Work 5 cm rib.", 15, 40),  # at 30 rows on 10 cm
    # 38 and a plain row; 34 by every other row, 32 and 30 by every one
    (
        "Row 1: k1, ssk, k to last 3, k2tog, k1.\nRow 2: k.\n"
        "Repeat every 2nd row until 34 sts remain, then every row until 30 sts remain.",
        7,
        30,
    ),
    (
        "Row 1: k2tog, k to last 2, ssk.\nRow 2: k.\n"
        "Rep Rows 1 & 2 until 34 sts rem, then Row 1 only until 30 sts rem.",
        8,
        30,
    ),
    ("Dec 1 st each side on next RS row, then every RS row 4 times more - 30 sts.", 9, 30),
    ("Cast off 8 sts. at the beginning of each of the next 2 rows.", 2, 24),
    # a row that shapes, every so many: 38, then two fewer each 4th row
    ("Dec row: k1, k2tog, k to last 3, ssk, k1.\nRep dec row every 4th row until 30 sts.", 17, 30),
    ("Dec row: k2tog, k to last 2, ssk.\nRep dec row every other row until 34 sts.", 5, 34),
    # each time one fewer between, every other row; then every row
    (
        "Row 1: *k6, k2tog; rep from *.\nRow 2: k.\nRow 3: *k5, k2tog; rep from *.\nRow 4: k.\n"
        "Cont in this manner, having one st less between decs, until there are 20 sts, then dec "
        "every row to 10 sts.",
        9,
        10,
    ),
    (
        "Row 1: *k6, k2tog; rep from *.\nRow 2: k.\nRow 3: *k5, k2tog; rep from *.\n"
        "Continue decreasing in this way every row until 15 sts remain.",
        6,
        15,
    ),
    (
        "Row 1: k.\nRow 2: p.\nRow 3: p.\nRow 4: k.\nRow 5: as row 3.\nRows 6 and 7: as 1 and 2.",
        7,
        40,
    ),
    ("Rib 17, cast off 2, rib until there are 9 sts after the cast off, k12.", 1, 38),
]


@pytest.mark.parametrize(("body", "rows", "live"), CASES, ids=lambda v: str(v)[:50])
def test_sentences(body: str, rows: int, live: int) -> None:
    pattern = read(HEAD + body)
    assert pattern.unread == ()
    counter = Counting(pattern, 0, GAUGE, Craft.NEEDLES)
    counted = counter.run()
    expected = "still live" if live else ""
    faults = [f.text for f in counted.faults if f.severity is Severity.FAULT]
    assert [t for t in faults if expected not in t] == []
    assert (counted.rows["piece"], counter.live) == (rows, live)


def test_the_side_of_an_even_row_decides_its_stitch() -> None:
    counted = Counting(read(HEAD + "Work in k2, p1 rib for 3 rows."), 0, GAUGE, Craft.NEEDLES).run()
    told = [
        "".join(o.stitch * o.times for o in d.operations) for d in counted.drafts if d.before == 40
    ]
    flipped = told[0][::-1].translate(str.maketrans("kp", "pk"))
    assert told[:3] == [told[0], flipped, told[0]]
    assert told[0].startswith("kkpkkp")


def test_seed_stitch_is_the_other_stitch_above_each() -> None:
    text = "Gauge: 20 x 30\nCast on 7 loops.\nWork 2 rows in seed st.\nBind off all."
    drafts = Counting(read(text), 0, GAUGE, Craft.LOOP).run().drafts
    one, two = ("".join(o.stitch * o.times for o in d.operations) for d in drafts[1:3])
    # Loop yarn is not turned: the second row starts at the left end, above the first one's last.
    assert one == "kpkpkpk"
    assert two[::-1] == "pkpkpkp"


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        (
            "Keep repeating these two rows until your ribbing is about 4 cm tall, ending after a "
            "wrong side row.",
            "Repeat last 2 rows until ribbing measures 4 cm, ending with a WS row.",
        ),
        ("Carry on in garter stitch for another 4 cm (1½ in).", "Work in garter st for 4 cm."),
        (
            "Continue to repeat row 1 until 4 rows have been worked.",
            "Rep row 1 until 4 rows worked.",
        ),
    ],
)
def test_how_long_rows_go_on_is_read_in_any_words(said: str, meant: str) -> None:
    page = "Gauge: 20 x 20\nCast on 10 sts.\nRow 1: knit.\nRow 2: purl.\n{}\nBO.\n"
    one, other = check_pattern(page.format(said)), check_pattern(page.format(meant))
    assert one.sound
    assert other.sound
    assert [c.rows for c in one.counts] == [c.rows for c in other.counts]


@pytest.mark.parametrize("verb", ["Continue", "Work", "Work even", "Keep going"])
def test_below_rows_that_form_a_pattern_these_go_on_and_not_the_last_two(verb: str) -> None:
    page = (
        "Gauge: 20 x 20\nCO 12 sts.\nRow 1: k.\nRow 2: p.\nRows 3-4: rep rows 1 and 2.\n"
        "Row 5: *k1, p1; rep from *.\nRow 6: as row 5.\nRows 7-8: rep rows 5 and 6.\n"
        f"These 8 rows form the pattern. {verb} until piece measures 8 cm, ending with row 4.\n"
        "BO.\n"
    )
    steps = script_of(plan_from_text(page)).steps
    told = [len(s.operations) for s in steps if s.kind in ROW_KINDS]
    assert told == [1, 1, 1, 1, 12, 12, 12, 12, 1, 1, 1, 1, 12, 12, 12, 12, 1, 1, 1, 1]


def test_rows_that_shape_go_on_and_of_more_than_two_it_is_asked() -> None:
    page = (
        "Gauge: 20 x 20\nCast on 10 sts.\nRow 1: kfb, k to end.\n{}"
        "Continue until piece measures 5 cm.\n"
    )
    two = check_pattern(page.format("Row 2: knit.\n"))
    assert two.sound
    assert two.counts[0].most_loops == 15  # ten rows, every other one a stitch more
    assert not check_pattern(page.format("Row 2: knit.\nRow 3: knit.\n")).sound


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("Knit 4 rows.\nWork in st st for 20 rows in total.\nBind off.", "which has 4 already"),
        ("R1: k\nR2: p\nrep R1-2 x4\nBind off.", "may be 4 times in all"),
        ("R1: k\nR2: p\nrep R1-2 5 times (9 rows).\nBind off.", "says that it comes to 9 rows"),
        ("K 3 rows.\nP 3 rows.\nRepeat these rows 4 times.\nBind off.", "repeats these rows, and"),
        ("Row 1: k.\nKnit 2 rows.\nRepeat these rows twice.\nBind off.", "repeats these rows, and"),
        ("Next row: p.\nNext row: k.\nRepeat these rows.\nBind off.", "repeats these rows, and"),
        ("Row 1: k.\nRow 2: k, dropping the yo's.\nBind off.", "as a row that is not written"),
        ("Knit 4 rows, ending with a RS row.\nBind off.", "does not end after 4 rows"),
        ("Every row: knit.\nBind off.", "how many there are is not said"),
        (
            "Work in garter st until piece measures 2 in less than desired length.\nBind off.",
            "how long is desired is not said",
        ),
        ("|-|-|o|/|-|-|  8\n|-|-|\\|o|-|-|  6\nBind off.", "a chart drawn in signs"),
    ],
)
def test_what_does_not_say_how_many_rows_is_asked(said: str, told: str) -> None:
    faults = check_pattern(f"{HEAD}{said}\n").faults
    assert told in next(f.text for f in faults if f.severity is not Severity.WARNING)
