"""Stitch patterns over whole garments: every loop keeps its place in the pattern while edges move.

Which stitch a loop should be is worked out here from where it lies in the piece, apart from the
designs: the loop below decides in moss (it is the other one), in a rib (it is the same one).
"""

from itertools import pairwise

import pytest

from counter.commandline import main
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script.fabric import Fabric
from engine.script.hands import work
from models.script import Craft, Direction, Hand, Kind

GAUGE = {Craft.LOOP: "6 x 5", Craft.NEEDLES: "10 x 14"}
COVERED = {
    "pullover": {"body", "back", "front", "left sleeve", "right sleeve"},
    "cardigan": {"body", "back", "right front", "left front", "left sleeve", "right sleeve"},
    "raglan": {"yoke", "body", "left sleeve", "right sleeve"},
    "yoke-pullover": {"body", "left sleeve", "right sleeve"},
    "mittens": {"gusset", "hand"},
    "socks": {"leg", "gusset", "foot"},
    "hat": {"hat"},
    "cap": {"cap"},
    "shawl": {"shawl"},
}

EACH = [
    pytest.param(name, craft, id=f"{name}-{craft.value}")
    for name in COVERED
    for craft in DESIGNS[name].info.crafts[-1 if name == "shawl" else 0 :]
]
"""All the others are tried by `python -m tests.designs.sweep 0.1 laid`."""


def made(name, craft, stitch, **more):
    return script_for(make_plan(name, read_gauge(GAUGE[craft]), craft=craft, stitch=stitch, **more))


def purled(script, part):
    """Share of a part's plain loops that look purled on the right side, and of those that look
    otherwise than the loop below."""
    fabric, looks, other, plain, purl = Fabric(script.hand), {}, 0, 0, 0
    for step in script.steps:
        for pulls in work(fabric, step):
            stitch = pulls.operation.stitch
            if step.kind not in {Kind.ROW, Kind.ROUND} or stitch not in {"k", "p"}:
                continue
            bump = (stitch == "p") is not (step.side == "WS")
            used = [loop for ids in pulls.used for loop in ids]
            for loop, below in zip((x for ids in pulls.made for x in ids), used, strict=True):
                looks[loop] = (step.part, bump)
                if step.part == part and looks.get(below, ("",))[0] == part:
                    plain += 1
                    purl += bump
                    other += looks[below][1] is not bump
    return purl / plain, other / plain


@pytest.mark.parametrize(("name", "craft"), EACH)
def test_moss_lies_over_every_design_and_is_proven(name, craft):
    script = made(name, craft, "moss")  # script_for has it audited
    for part in COVERED[name]:
        purl, other = purled(script, part)
        # A foot's sole and a thumb's gusset stay plain; an edge beside a shaping does as well.
        half = {"gusset": 0.15, "foot": 0.2}.get(part, 0.4)
        assert half < purl < 0.55, part
        assert other > 2 * half - 0.05, part


@pytest.mark.parametrize(("name", "hand"), [("pullover", Hand.LEFT), ("cardigan", Hand.RIGHT)])
def test_a_rib_runs_on_from_the_body_into_fronts_and_back(name, hand):
    # Columns of a rib never change, through tapers, armholes, a neck and where a tube parts.
    script = made(name, Craft.NEEDLES, "rib-2x2", hand=hand)
    for part in COVERED[name]:
        purl, other = purled(script, part)
        assert 0.35 < purl < 0.6, part
        assert other < 0.03, part
    fabric, looks = Fabric(script.hand), {}
    for step in script.steps:
        for pulls in work(fabric, step):
            stitch = pulls.operation.stitch
            if not step.counts_row or stitch not in {"k", "p"}:
                continue
            bump = (stitch == "p") is not (step.side == "WS")
            used = [loop for ids in pulls.used for loop in ids]
            for loop, below in zip((x for ids in pulls.made for x in ids), used, strict=True):
                before = looks.get(below)
                looks[loop] = (step.part, bump)
                if before and before[0] == "body" and step.part in {"back", "front", "left front"}:
                    assert before[1] is bump, (step.part, step.row)


def test_a_cable_that_loses_a_loop_is_plain_and_the_others_go_on():
    script = script_for(
        make_plan("pullover", read_gauge("16 x 22"), craft=Craft.NEEDLES, stitch="cable-4")
    )
    rows = [s for s in script.steps if s.part == "left sleeve" and s.counts_row]
    crossed = {
        s.row: (many, s.note)
        for s in rows
        if (many := sum(o.times for o in s.operations if "rc" in o.stitch))
    }
    assert {later - row for row, later in pairwise(crossed)} == {4}  # none is made up for between
    told = list(crossed.values())
    assert told[0][0] > told[-1][0] > 0
    # A row that decreases takes two loops at its edge, and what they tear is crossed the next time.
    # Where there are fewer than before it says so, and only there.
    for (before, _), (now, note) in pairwise(told):
        assert before - 2 <= now <= before + 1
        assert (now < before) is ("worked plain, not crossed" in note)


def test_an_edge_that_is_not_shaped_says_nothing_of_cables():
    made_flat = made("scarf", Craft.NEEDLES, "cable-6", hand=Hand.LEFT)
    assert not [s for s in made_flat.steps if "crossed" in s.note]


def test_what_cannot_be_had_is_refused_in_a_sentence():
    for name, stitch, said in (
        ("pullover", "old-shale", "needles, not with loop yarn: choose one of"),
        ("mittens", "houndstooth", "they are basket"),
        ("practice", "moss", "no stitch pattern is laid"),
    ):
        with pytest.raises(Refusal, match=said):
            script_for(make_plan(name, read_gauge("8 x 7"), stitch=stitch))
    given = {"bust": 60.0, "ease": 0.0, "armhole_depth": 12.0, "underarm": 2.0}
    gauge = read_gauge("4 x 5")
    plan = make_plan("pullover", gauge, given=given, craft=Craft.NEEDLES, stitch="old-shale")
    with pytest.raises(Refusal, match=r"Over the sleeve: Old shale wants at least 18 loops"):
        script_for(plan)


ROPE = """Title: Wharf rope
Multiple of 5 + 2

Row 1 (RS): p2, *k3, p2; rep from * to end.
Row 2: k2, *p3, k2; rep from * to end.
Row 3: p2, *k1, yo, k2tog, p2; rep from * to end.
Row 4: k2, *p3, k2; rep from * to end.
"""


def test_a_pattern_of_her_own_lies_over_a_scarf_and_a_hat():
    for name in ("scarf", "hat"):
        script = made(name, Craft.NEEDLES, "rope", stitch_text=ROPE)
        third = next(s for s in script.steps if s.part == name and s.row == 3)
        overs = [o for o in third.operations if o.stitch == "yo"]
        pairs = [o for o in third.operations if o.stitch == "k2tog"]
        assert len(overs) == len(pairs) == repeats_in(third) >= 3


def repeats_in(step):
    """Repeats that go into a row, by hand: five loops each, and two more where it is flat."""
    return (step.loops_before - (0 if step.direction is Direction.AROUND else 2)) // 5


@pytest.mark.parametrize(
    ("craft", "text", "said"),
    [
        (Craft.LOOP, ROPE, "Wharf rope has yarn over, which loop yarn cannot"),
        (Craft.NEEDLES, "Row 1: knit.\nRow 2: purl.", "say what it is a multiple of"),
        (Craft.NEEDLES, "Multiple of 2\nsome talk", "below that its rows"),
        (Craft.NEEDLES, "Multiple of 3\nRow 1: knit.", "has an odd number of rows, 1"),
        (Craft.NEEDLES, "Multiple of 4\nRow 1: *k2tog, k2; rep from * to end.\nRow 2: purl.",
         "does not keep its 4 loops"),
        (Craft.NEEDLES, ROPE * 40, "is too long"),
    ],
)  # fmt: skip
def test_a_pattern_of_her_own_that_is_none_is_refused(craft, text, said):
    with pytest.raises(Refusal, match=said):
        made("scarf", craft, "rope", stitch_text=text)


def test_a_pattern_is_shown_line_by_line_with_a_swatch_of_it(tmp_path, capsys):
    (tmp_path / "rope.txt").write_text(ROPE)
    assert main(["stitches", str(tmp_path / "rope.txt"), "--gauge", "20 x 28"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Wharf rope: multiple of 5 + 2")
    assert lines[2] == "Row 2: k2, *p3, k2; rep from * to end."
    # 15 cm are 30 stitches; six repeats and the edge's two come to 32.
    assert "a swatch of 32" in lines[-1]
