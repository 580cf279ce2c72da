"""Rows that are turned before their end: what stays live, where the hand stands, and the audit.

Counts by hand. The ways of turning (wrap and turn, German double stitch, yarn over) and of closing
the gap are the usual ones, common practice, no source.
"""

import pytest

from engine.pattern.check import check_pattern
from engine.pattern.count.count import Counting
from engine.pattern.count.standing import Standing, back_again, from_there, turned
from engine.pattern.count.worked import Worked
from engine.pattern.make import plan_from_text, script_of
from engine.pattern.text.read import read
from engine.script.audit import audit
from models.gauge import Gauge
from models.pattern import Severity
from models.script import Craft

HEAD = "Craft: {craft}\nGauge: 20 x 30\nPart: piece\nCast on 40 sts.\n"
END = "\nBind off all sts.\n"

# the rows after the first, and how many are bound off at the end
WHOLE = [
    ("Row 1: k30, w&t.\nRow 2: p20, w&t.\nRow 3: k all sts.\nRow 4: purl.", 40),
    ("Row 1: k35, turn.\nRow 2: p30, turn.\nRow 3: k25, turn.\nRow 4: p20, turn.\n"
     "Row 5: k to end.\nRow 6: purl.", 40),
    ("Row 1: k to last 5 sts, wrap next st and turn.\nRow 2: p to last 5 sts, w&t.\n"
     "Row 3: k to 5 sts before gap, w&t.\nRow 4: p to 5 sts before gap, w&t.\n"
     "Row 5: k to end, picking up wraps.\n"
     "Row 6: p to end, picking up wraps and purling them together with the wrapped sts.", 40),
    ("Row 1: k30, turn.\nRow 2: mds, p19, turn.\nRow 3: mds, k to ds, k ds, k5, turn.\n"
     "Row 4: mds, p to ds, p ds, p5, turn.\nRow 5: mds, k to ds, k ds, k5.\nRow 6: purl.", 40),
    ("Row 1: k22, ssk, k1, turn.\nRow 2: sl 1, p5, p2tog, p1, turn.\n"
     "Row 3: sl 1, k to 1 st before gap, ssk, k1, turn.\n"
     "Row 4: sl 1, p to 1 st before gap, p2tog, p1, turn.\nRep rows 3 and 4 until 24 sts rem.", 24),
    ("Row 1: k30, turn.\nRow 2: yo, p30.\nRow 3: k30, k2tog, k9.\nRow 4: purl.", 40),
    ("Row 1: k35, turn (leaving 5 sts unworked).\nRow 2: p35.\nRow 3: knit.\nRow 4: purl.", 40),
    ("Row 1: k20, turn.\nRow 2: k2tog, p to end.\nRow 3: knit. 39 sts.\nRow 4: purl.", 39),
    ("Row 1: k20, turn.\nKnit 1 row.\nKnit 2 rows.", 40),
]  # fmt: skip


# a double stitch is made on turned work
CASES = [
    (body, left, craft)
    for body, left in WHOLE
    for craft in ("needles", "loop yarn")
    if craft == "needles" or "mds" not in body
]


@pytest.mark.parametrize(("body", "left", "craft"), CASES, ids=range(len(CASES)))
def test_short_rows_are_sound(body: str, left: int, craft: str) -> None:
    text = HEAD.format(craft=craft) + body + END
    checked = check_pattern(text)
    assert [f.sentence() for f in checked.faults if f.severity is not Severity.WARNING] == []
    script = script_of(plan_from_text(text))
    assert audit(script) == []
    assert script.steps[-2].loops_before == left


def test_short_rows_within_a_tube() -> None:
    text = (
        "Craft: needles\nGauge: 20 x 30\nPart: cowl\nCast on 40 sts.\n"
        "Join to work in the round.\n"
        "Rnd 1: knit.\n"
        "Row 2 (RS): k15, turn.\nRow 3 (WS): p25, turn.\nRnd 4: k to end.\n"
        "Rnd 5: knit.\nBind off all sts.\n"
    )
    checked = check_pattern(text)
    assert [f.sentence() for f in checked.faults if f.severity is not Severity.WARNING] == []
    assert audit(script_of(plan_from_text(text))) == []


@pytest.mark.parametrize(
    ("body", "what"),
    [
        ("Row 1: k30, turn.\nRow 2: p31.", "needs 31 stitches, 30 are there"),
        ("Row 1: k30, turn.\nRow 2: p29.", "needs 29 stitches, 30 are there"),
        ("Row 1: k30, turn, p10.", "goes on after its turn"),
        ("Row 1: k40, w&t.", "there is none"),
        ("Row 1: k to 5 sts before gap, turn.", "lies not ahead"),
        ("Row 1: k30, turn. (30 sts)", "says 30 stitches after it, there are 40"),
    ],
)
def test_what_does_not_come_out_is_told(body: str, what: str) -> None:
    checked = check_pattern(HEAD.format(craft="needles") + body)
    assert any(what in f.text for f in checked.faults), [f.text for f in checked.faults]


def counted(body: str) -> Counting:
    counter = Counting(
        read(HEAD.format(craft="needles") + body),
        0,
        Gauge(loops_per_10cm=20, rows_per_10cm=30),
        Craft.NEEDLES,
    )
    counter.run()
    return counter


def test_loops_put_aside_within_a_row_are_the_next_ones() -> None:
    counter = counted("Next row: k15, place next 10 sts on holder, k15.\nNext row: purl.")
    assert (counter.live, counter.rests["holder"]) == (30, 10)
    first = counter.out.drafts[1].operations
    assert [(o.stitch, o.times) for o in first] == [("k", 15), ("rest next", 10), ("k", 15)]
    counter = counted("Next row: k20, place rem sts on a holder, turn.\nNext row: purl.")
    assert (counter.live, counter.rests["holder"]) == (20, 20)


def test_a_marker_stays_where_it_is_over_turned_rows() -> None:
    counter = counted(
        "Row 1: k10, pm, k30.\nRow 2: p to marker, sm, p5, turn.\nRow 3: k5, sm, k to end.\n"
        "Row 4: p to marker, sm, p10.\n"
    )
    assert [f.text for f in counter.out.faults if "still live" not in f.text] == []


def test_standing_by_hand() -> None:
    """40 loops: 30 worked and turned, 20 back and turned; the hand is 10 from the right."""
    first = turned(Standing(40, 0, back=False, ring=False), Worked(takes=30, leaves=30))
    assert first == Standing(30, 10, back=True, ring=False)
    second = turned(first, Worked(takes=20, leaves=20))
    assert second == Standing(30, 10, back=False, ring=False)
    # a tube of 20: 15 forth, 18 back over its beginning, so that the hand stands 3 before it
    forth = turned(Standing(20, 0, back=False, ring=True), Worked(takes=15, leaves=15))
    back = turned(forth, Worked(takes=18, leaves=18, leaves_at_end=15))
    assert back == Standing(3, 17, back=False, ring=True)


def test_places_seen_from_either_end() -> None:
    assert from_there([3, 10, 12], 10) == (0, 2)
    assert from_there([3, 10, 12], 10, here=False) == (2,)
    assert back_again([3], made=[5], behind=10, total=40) == [25, 37]
