"""Where a row is worked or drawn by a short way, the long way comes to the same."""

import pytest

from engine.draw import draftsman
from engine.draw.schematic import layout
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import hands
from engine.script.audit import audit
from engine.script.fabric import Fabric
from models.script import Craft, Hand
from tests.script.working import Piece, op

SCRIPTS = [
    script_for(make_plan(name, read_gauge(gauge), craft=craft, hand=hand))
    for name, gauge, craft, hand in [
        ("cardigan", "5 x 3.75", Craft.LOOP, Hand.LEFT),
        ("cardigan", "14 x 20", Craft.NEEDLES, Hand.RIGHT),
        ("cap", "6 x 5", Craft.LOOP, Hand.RIGHT),
        ("shawl", "5 x 3.75", Craft.LOOP, Hand.RIGHT),
    ]
] + [
    # A ring opened and worked flat; slipped edges, so that a stretch has several runs.
    Piece(8).round(op("k", 8)).row(op("k", 8)).row(op("sl"), op("k", 7)).row(op("k", 8)).script(),
    # Rows and rounds that decrease, increase and cross, after a slipped edge and a marker.
    Piece(10)
    .row(op("k", 2), op("k2tog"), op("yo"), op("k3tog"), op("kfb"), op("k", 2))
    .row(op("yo"), op("sl"), op("pm"), op("p", 8), op("m1"))
    .row(op("k", 1), op("2/2 lc"), op("sm"), op("ssk", 3))
    .row(op("inc", 8), op("yo"))
    .script(),
    Piece(6).round(op("yo"), op("k2tog", 3)).round(op("kfb", 4)).round(op("k2tog", 4)).script(),
]


def worked(script):
    fabric = Fabric(script.hand)
    pulls = [
        [(p.operation, list(one.used), list(one.made)) for p in hands.work(fabric, step)
         for one in p.each()]
        for step in script.steps
    ]  # fmt: skip
    lies = [(loop, run.part, run.level) for run in fabric.runs for loop in run.ids]
    return pulls, lies, fabric.rows, fabric.at_left


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda s: s.title)
def test_a_row_worked_straight_up(script, monkeypatch):
    short = worked(script)
    monkeypatch.setattr(hands, "_straight_up", lambda *_: None)
    assert worked(script) == short


@pytest.mark.parametrize("script", SCRIPTS[:-1], ids=lambda s: s.title)
def test_a_row_drawn_straight_up(script, monkeypatch):
    short = layout(script)
    monkeypatch.setattr(draftsman.Draftsman, "_goes_straight_up", lambda *_: False)
    assert layout(script) == short


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ([op("k", 6)], "2 loops of the row are left unworked"),
        ([op("k", 6), op("yo", 2)], "2 loops of the row are left unworked"),
        ([op("k", 9)], "knit needs 9 loops, 8 are there"),
        ([op("p", -4), op("k", 12)], "purl cannot be worked -4 times"),
        ([op("k", 8), op("yo", 0)], "yarn over cannot be worked 0 times"),
    ],
)
def test_a_row_that_lies_of_its_loops_is_found(row, told):
    """All that a step says of its counts may be made to fit: the loops are what is believed."""
    script = Piece(8).row(op("k", 8)).off().script()
    leaves, yarn = sum(o.leaves for o in row), sum(max(0, o.leaves) for o in row)
    counts = {"loops_before": 8, "loops_after": leaves, "yarn_loops": yarn}
    lying = script.steps[1].model_copy(update={"operations": tuple(row), **counts})
    steps = (script.steps[0], lying, *script.steps[2:])
    faults = audit(script.model_copy(update={"steps": steps}))
    assert any(told in fault for fault in faults), faults


@pytest.mark.parametrize("count", ["loops_before", "loops_after", "held", "yarn_loops", "row"])
def test_a_count_that_a_step_says_wrongly_is_found(count):
    script = Piece(8).row(op("k", 8)).row(op("k", 8)).off().script()
    step = script.steps[1]
    lying = step.model_copy(update={count: getattr(step, count) + 1})
    faults = audit(script.model_copy(update={"steps": (script.steps[0], lying, *script.steps[2:])}))
    assert any(fault.startswith("step 2 (piece, row") for fault in faults), faults
