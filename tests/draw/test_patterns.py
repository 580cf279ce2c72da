"""Written patterns are drawn by the same rules as the built-in designs."""

import pytest

from engine.pattern.make import plan_from_text, script_of
from models.schematic import Drawing
from tests.draw.test_layout import check, only

PULLOVER = """\
Title: Pullover in pieces
Craft: needles
Gauge: 18 x 24

Part: back
Cast on 90 sts.
Work 90 rows even.
Bind off 5 sts at beg of next 2 rows.
Dec 1 st at each end of every RS row 5 times.
Work 40 rows even.
Bind off all sts.

Part: right sleeve
Cast on 40 sts.
Inc 1 st at each end of every 6th row 12 times.
Bind off all sts.

Part: left sleeve
Cast on 40 sts.
Inc 1 st at each end of every 6th row 12 times.
Bind off all sts.
Weave in ends.
"""

TOP_DOWN = """\
Title: From the neck down
Craft: needles
Gauge: 18 x 24
Part: yoke
Cast on 80 sts.
Work in the round.
Knit 4 rnds.
Rnd 5: *k4, M1; rep from * to end.
Knit 30 rnds.
Part: body
Next rnd: leave 20 sts resting at "left sleeve", k30, leave 20 sts resting at "right sleeve",
  k to end.
Knit 50 rnds.
Bind off all sts.
Part: right sleeve
Pick up: take up 20 loops from "right sleeve", join yarn, pick up 8 along "the underarm".
Knit 40 rows.
Bind off all sts.
Part: left sleeve
Pick up: take up 20 loops from "left sleeve", join yarn, pick up 8 along "the underarm".
Knit 40 rows.
Bind off all sts.
Weave in ends.
"""

SOCK = """\
Title: Sock with a flap
Craft: needles
Gauge: 28 x 40
Part: leg
Cast on 64 sts.
Work in the round.
Knit 30 rnds.
Part: heel flap
Work flat.
Row 1 (RS): k32, leave 32 sts resting at "instep".
Work 30 rows even.
Part: foot
Pick up: pick up 16 along "the flap", take up 32 loops from "instep".
Work in the round.
Knit 40 rnds.
Bind off all sts.
Weave in ends.
"""


def drawn(text: str) -> Drawing:
    return check(script_of(plan_from_text(text)))


@pytest.mark.parametrize("text", [PULLOVER, TOP_DOWN, SOCK])
def test_it_is_to_scale_and_nothing_overlaps(text: str) -> None:
    drawn(text)


def test_pieces_that_begin_anew_lie_beside_each_other_on_one_line() -> None:
    drawing = drawn(PULLOVER)
    back, right, left = (only(drawing, p) for p in ("back", "right sleeve", "left sleeve"))
    assert left.right < back.left < back.right < right.left
    assert back.bottom == left.bottom == right.bottom


def test_stitches_bound_off_at_the_beginning_of_rows_step_the_sides_in() -> None:
    back = only(drawn(PULLOVER), "back")
    stitch = 1 / 1.8
    straight = back.bands[0].base
    shaped = back.bands[-1].top
    # Each of the two rows steps in by its five at once, at its own side.
    first, second = back.bands[90:92]
    assert straight[1] - first.base[1] == pytest.approx(5 * stitch, abs=1e-3)
    assert first.base[0] == straight[0]
    assert second.base[0] - straight[0] == pytest.approx(5 * stitch, abs=1e-3)
    assert shaped[0] - straight[0] == pytest.approx(10 * stitch, abs=1e-3)
    assert straight[1] - shaped[1] == pytest.approx(10 * stitch, abs=1e-3)


def test_sleeves_that_would_lie_on_the_body_are_laid_beside_it() -> None:
    drawing = drawn(TOP_DOWN)
    body, right, left = (only(drawing, p) for p in ("body", "right sleeve", "left sleeve"))
    assert left.right < body.left
    assert body.right < right.left


def test_a_flap_stands_on_the_stitches_it_goes_on_with() -> None:
    drawing = drawn(SOCK)
    leg, flap, foot = (only(drawing, p) for p in ("leg", "heel flap", "foot"))
    assert flap.bottom == pytest.approx(leg.bottom + leg.height)
    assert leg.left - 0.01 <= flap.left
    assert flap.right <= leg.right + 0.01
    assert foot.bottom == pytest.approx(flap.bottom + flap.height)
