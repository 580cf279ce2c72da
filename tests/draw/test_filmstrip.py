"""The filmstrip plays a make to its end and looks at it as often as asked."""

import struct
import xml.etree.ElementTree as ET

from counter.paper import page
from engine.pattern.make import plan_from_text
from engine.plan.planning import script_for
from models.script import Hand
from tests.filmstrip import SIZE, looks, play

SAMPLER = """\
Title: Sampler
Gauge: 20 x 26
CO 20
Row 1: k20
Row 2: p20
Row 3: k2, k2tog, yo, k2, ssk, yo, k2, m1l, k2, m1r, k2, sl1, k2tog, psso, k3
Row 4: p20
Row 5: k2, 2/2 rc, kfb, p2tog, k1, k2tog tbl, m1, k8
Row 6: p10, pm, p10
Row 7: k10, sm, k5, turn
Row 8: p15
Row 9: k10, rm, k10
Row 10: p20
Seam: Leave 10 stitches resting at "first half", \
leave 10 stitches resting at "second half", \
pair 5 stitches of "first half" with "second half", \
three-needle bind off 4, k2tog, fasten off, cut yarn.
Seam: Pair 5 stitches of "first half" with "second half", graft 5.
Pick up (RS, right to left): Join yarn, pick up 6 along "the right edge of the piece".
Row 1: k6
Row 2: leave the next 2 stitches resting at "corner", k4
Row 3: take up 2 stitches from "corner", k6
Bind off: bo 5, fasten off, cut yarn.
"""
"""Nearly every operation that needles know, in nineteen steps."""


def test_looks_are_spread_from_the_first_step_to_the_last() -> None:
    assert looks(118, 3) == {0, 58, 117}
    assert looks(5, 5) == {0, 1, 2, 3, 4}
    assert looks(10, 1) == {0}


async def test_a_cap_is_played_to_its_end() -> None:
    frames = await play("cap", 3, Hand.LEFT, SIZE)
    assert [name[:3] for name, _ in frames] == ["001", "002", "003"]
    for _, svg in frames:
        assert ET.fromstring(svg).tag.endswith("svg")
        assert "http" not in svg.replace("http://www.w3.org", "").replace("https://www.text", "")
    first, last = (page.png(svg) for _, svg in (frames[0], frames[-1]))
    assert first != last
    wide, high = struct.unpack(">II", first[16:24])
    assert wide > high


async def test_a_make_with_nearly_every_operation_is_played_to_its_end() -> None:
    plan = plan_from_text(SAMPLER, "sampler")
    steps = script_for(plan).steps
    assert len({operation.stitch for step in steps for operation in step.operations}) >= 30
    frames = await play(plan, len(steps), Hand.RIGHT, SIZE)
    assert len(frames) == len(steps)
    assert len({svg for _, svg in frames}) == len(steps)
