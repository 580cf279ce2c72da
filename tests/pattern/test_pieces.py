"""Short pieces whole, as makers write them: how many loops each leaves, counted by hand.

The ways of writing are the usual ones of print, common practice, no source.
"""

import pytest

from engine.pattern.check import check_pattern
from engine.pattern.make import plan_from_text, script_of
from engine.script.audit import audit
from models.pattern import Severity
from models.script import ROW_KINDS, Kind

HEAD = "Craft: needles\nGauge: 20 x 30\nPart: piece\nCast on {on} sts.\n"
END = "\nBind off all sts.\n"

# what stands between the cast-on and the bind-off, the loops cast on, and those bound off
PIECES = {
    # four more on each of two needles, in a sentence of its own
    "needles alike": (
        "Rnd 1: N1: k1, kfb, k to last 3 sts, kfb, k2. N2: same as N1. (4 sts inc'd)", 20, 24),
    "the count after the last buttonhole": (
        "Row 1: rib 9, cast off 2, rib until there are 6 sts after the cast off, cast off 2, "
        "rib to end (11).\nNext row: cast on 2 over each gap.", 30, 30),
    "markers in a repeat": (
        "Rnd 1: *k8, pm; rep from * around.\n"
        "Rnd 2: *k to 2 sts before marker, k2tog, sm; rep from * around.", 40, 35),
    "unequal stretches between markers": (
        "Rnd 1: k4, pm, k10, pm, k6, pm.\n"
        "Rnd 2: *k1, m1, k to 1 st before marker, m1, k1, sm; rep from * to end.", 20, 26),
    "markers removed": (
        "Row 1: k5, pm, k10, pm, k5.\nRow 2: purl, slipping markers.\n"
        "Row 3: k to marker, m1, sm, k to marker, sm, m1, k to end.\n"
        "Row 4: purl, removing markers.\nRow 5: knit.", 20, 22),
    "a cable by its own definition": (
        "Cr5L = slip next 3 sts to cn and hold in front, p2, k3 from cn.\n"
        "Row 1: p2, Cr5L, p2.\nRow 2: purl.", 9, 9),
    "a cable by a name of its own": (
        "FC = sl next 2 sts to cn and hold in front, k1, k2 from cn\n"
        "Row 1: p2, FC, p2.\nRow 2: purl.", 7, 7),
    # 10 left at either side; 1 + 1 decreases, then one for every 2 that are taken in: 5 + 5
    "a heel turned until all are worked": (
        "Row 1 (RS): k17, ssk, k1, turn.\nRow 2: sl 1, p5, p2tog, p1, turn.\n"
        "Row 3: sl 1, k to 1 st before gap, ssk, k1, turn.\n"
        "Row 4: sl 1, p to 1 st before gap, p2tog, p1, turn.\n"
        "Rep rows 3 and 4 until all sts have been worked.", 30, 18),
    "yarn-over short rows for the bust": (
        "Next row (RS): k to last 5 sts, turn.\nNext row: yo, p to last 5 sts, turn.\n"
        "Next row: yo, k to yo, k2tog, k4.\nNext row: p to yo, p2tog tbl, p4.", 30, 30),
    "the strand pulled up": (
        "Row 1: k to last 5 sts, turn and place a removable marker on the yarn.\n"
        "Row 2: sl 1, p to end.\n"
        "Row 3: k to gap, pull up the marked loop and k it tog with the next st, k to end.",
        30, 30),
    "wraps knitted together with their stitches": (
        "Row 1: k to last 3 sts, w&t.\nRow 2: p to last 3 sts, w&t.\n"
        "Row 3: knit across, picking up wraps and knitting them tog with wrapped sts.\n"
        "Row 4: purl.", 40, 40),
    "a buttonhole to its bound-off stitches": (
        "Buttonhole row 1 (RS): k3, BO 2 sts, k to end.\n"
        "Buttonhole row 2: k to bound-off sts, CO 2 sts, k3.", 20, 20),
    "a buttonhole over its bound-off stitches": (
        "Row 1: k3, bind off 2 sts, k to end.\n"
        "Row 2: k15, cast on 2 sts over bound off sts, k3.", 20, 20),
    "at the neck edge": (
        "BO 5 sts at neck edge once, then dec 1 st at neck edge every RS row 3 times.", 20, 12),
    "evenly to a number": ("Row 1: dec evenly across to 16 sts.\nRow 2: purl.", 20, 16),
    "brioche": (
        "Row 1: *k1, yf-sl1-yo; rep from * to end.\nRow 2: *yf-sl1-yo, brk1; rep from * to end.\n"
        "Row 3: *brk1, sl1yo; rep from * to end.", 20, 20),
}  # fmt: skip


PARTS = "Craft: needles\nGauge: 20 x 30\n"
FRONT = "Part: left front\nCast on 20 sts.\n"

# texts of several parts, and the loops after each row of the last one
LIKE = {
    "reversed, shaped by a decrease": (
        FRONT + "Row 1: knit.\nRow 2: purl.\nRow 3: k2tog, k to end.\nRow 4: purl.\n"
        "Bind off all sts.\nPart: right front\nWork to match left front, reversing all shaping.",
        [20, 20, 19, 19]),
    # the same rows, its bind-off where a row begins at that edge
    "reversed, with loops bound off": (
        FRONT + "Knit 2 rows.\nNext row (RS): BO 4 sts, k to end.\nKnit 1 row.\n"
        "Dec 1 st at beg of next row.\nKnit 1 row.\nBind off all sts.\n"
        "Part: right front\nWork as for left front, reversing shaping.",
        [20, 20, 20, 16, 15, 15]),
    "to the armhole": (
        "Part: back\nCast on 40 sts.\nRows 1-4: knit.\n"
        "Shape armholes: Bind off 4 sts at beg of next 2 rows.\nKnit 2 rows.\n"
        "Bind off all sts.\nPart: front\nWork as for back to armhole.\n"
        "Bind off 6 sts at beg of next 2 rows.\nBind off all sts.",
        [40, 40, 40, 40, 34, 28]),
    "the whole of it": (
        "Part: back\nCast on 40 sts.\nRows 1-3: knit.\nBind off all sts.\n"
        "Part: front\nWork exactly the same as for the back.", [40, 40, 40]),
}  # fmt: skip


@pytest.mark.parametrize("name", LIKE)
def test_a_part_is_as_another(name: str) -> None:
    text, loops = LIKE[name]
    text = PARTS + text + "\n"
    assert [f.sentence() for f in check_pattern(text).faults if f.severity is Severity.FAULT] == []
    script = script_of(plan_from_text(text))
    assert audit(script) == []
    last = script.steps[-1].part
    rows = [s for s in script.steps if s.part == last and s.kind in ROW_KINDS]
    assert [s.loops_after for s in rows] == loops


@pytest.mark.parametrize("how", ["Graft toe.", "Graft sts together using Kitchener stitch.",
                                 "Fold in half and join with three-needle bind-off."])  # fmt: skip
@pytest.mark.parametrize("craft", ["needles", "loop yarn"])
def test_two_halves_are_closed(how: str, craft: str) -> None:
    text = f"Craft: {craft}\nGauge: 20 x 30\nPart: piece\nCast on 20 sts.\nRow 1: knit.\n{how}\n"
    assert [f.text for f in check_pattern(text).faults] == []
    script = script_of(plan_from_text(text))
    assert audit(script) == []
    closed = [o for s in script.steps for o in s.operations if o.stitch == "pair"]
    assert [o.times for o in closed] == [10]
    assert check_pattern(text.replace("on 20", "on 21")).faults


@pytest.mark.parametrize("name", PIECES)
def test_pieces_come_to_what_the_hand_counts(name: str) -> None:
    body, on, left = PIECES[name]
    text = HEAD.format(on=on) + body + END
    checked = check_pattern(text)
    assert [f.sentence() for f in checked.faults if f.severity is not Severity.WARNING] == []
    script = script_of(plan_from_text(text))
    assert audit(script) == []
    assert [s for s in script.steps if s.loops_before][-1].loops_before == left


# what is not told, and a word of the reason
REFUSED = {
    "all are worked already": ("Row 1: knit.\nRep row 1 until all sts have been worked.", "all"),
    "it never gets there": (
        "Row 1: k10, turn.\nRow 2: p10.\nRow 3: k10, turn.\nRow 4: p10.\n"
        "Rep rows 3 and 4 until all sts have been worked.", "never"),
    "a heel's turn, the instep on the same needle": (
        "Row 1: k10, turn.\nRow 2: p10.\nRow 3: k10, turn.\nRow 4: p10.\n"
        "Row 5: k6, ssk, k1, turn.\nRow 6: sl 1, p3, p2tog, p1, turn.\n"
        "Row 7: sl 1, k4, ssk, k1, turn.\n"
        "Continue in this manner until all heel sts have been worked.", "beside the flap"),
    "how often, for a turned row": ("Row 1: *sl 1, k1; rep from * 6 times, turn.", "2 ways"),
    "a turn before a loop": ("Row 1: turn.", "before a loop"),
    "as a part that is not there": ("Work as for sleeve.", "as sleeve"),
    "evenly to more by fewer": ("Row 1: dec evenly to 24 sts.", "no such shaping"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_nothing_is_guessed(name: str) -> None:
    body, why = REFUSED[name]
    faults = check_pattern(HEAD.format(on=20) + body + END).faults
    assert any(why in f.text for f in faults if f.severity is Severity.FAULT)


def test_edges_that_are_named_are_mirrored_once() -> None:
    text = (
        PARTS + FRONT + "Dec 1 st at neck edge every RS row twice.\n"
        "Bind off 3 sts at armhole edge.\nBind off all sts.\n"
        "Part: right front\nWork as for left front, reversing all shaping.\n"
    )
    steps = script_of(plan_from_text(text)).steps
    rows = {
        part: [[o.stitch for o in s.operations] for s in steps if s.part == part and s.row]
        for part in ("left front", "right front")
    }
    # as worn, a left front's neck lies where its right-side rows end; its armhole where they begin
    assert rows["left front"] == [["k", "dec"], ["p"], ["k", "dec"], ["p"], ["bo", "k"]]
    assert rows["right front"] == [["dec", "k"], ["p"], ["dec", "k"], ["p"], ["k"]]
    # what would go off in the last row goes off with the others, from where that row begins
    (last,) = (s for s in steps if s.part == "right front" and s.kind is Kind.BIND_OFF)
    assert last.loops_before == 18


@pytest.mark.parametrize("off", ["BO", "Bind off.", "Cast off loosely in rib."])
def test_a_sentence_that_binds_off_ends_the_row_before_it(off: str) -> None:
    text = PARTS + f"Part: piece\nCast on 20 sts. Row 1: k across. {off}\n"
    steps = script_of(plan_from_text(text)).steps
    assert [s.loops_after for s in steps if s.kind in ROW_KINDS or s.kind is Kind.BIND_OFF] == [
        20,
        0,
    ]


def test_a_piece_like_another_reversed_is_never_talk() -> None:
    text = PARTS + FRONT + "Knit 2 rows.\nBind off.\nRIGHT FRONT\nMake same as left, reversed.\n"
    assert any(
        "Make same" in line.text for line in check_pattern(text).lines if line.taken_as == "unread"
    )


@pytest.mark.parametrize(
    ("line", "rows"),
    [
        ("Size L only: knit 2 rnds. Knit 1 rnd.", (0, 0, 3)),
        ("Sizes M and L only: knit 1 rnd.", (0, 1, 1)),
        ("For sizes S & M: knit 1 rnd.", (1, 1, 0)),
        ("M, L - knit 1 rnd.", (0, 1, 1)),
        ("All sizes except S: knit 1 rnd.", (0, 1, 1)),
        ("Largest size only: knit 1 rnd.\nOther sizes: knit 3 rnds.", (3, 3, 1)),
        ("L only: knit 1 rnd.\nAll sizes: knit 1 rnd.\nKnit 1 rnd.", (2, 2, 3)),
        ("Body: knit 1 rnd.", (1, 1, 1)),
    ],
)
def test_a_line_for_some_sizes_is_whole_for_those_alone(line: str, rows: tuple[int, ...]) -> None:
    checked = check_pattern(
        f"Sizes: S (M, L)\nGauge: 20 x 26\nCast on 40 (44, 48) sts. Join.\n{line}\nBO.\n"
    )
    assert checked.sound
    assert tuple(count.rows for count in checked.counts) == rows


def test_a_size_that_there_is_not_is_said_so() -> None:
    page = "Sizes: S (M, L)\nCast on 40 (44, 48) sts. Join.\nQueen size only: knit 1 rnd.\nBO.\n"
    assert any("no size Queen" in fault.sentence() for fault in check_pattern(page).faults)
