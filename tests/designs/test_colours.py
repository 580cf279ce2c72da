"""Stripes and blocks of colour: whose yarn works which loops, proven, counted, drawn, written."""

import pytest

from engine.advise.colours import ball_order, order_lines
from engine.base.refusal import Refusal
from engine.craft.stripes import read_stripes
from engine.designs import DESIGNS
from engine.draw.chart import chart
from engine.pattern import check_pattern
from engine.pattern.make import plan_from_text, script_of
from engine.pattern.write import write
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import wording
from engine.script.audit import audit
from engine.script.builder import op
from engine.script.yarns import by_colour
from models.script import Craft, Direction, Hand, Kind

CHEQUERED = "cream | sand 4, sand | cream 4"


def made(name="throw", stripes=CHEQUERED, **more):
    given = {"throw": {"width": 40.0, "height": 40.0}}.get(name, {})
    plan = make_plan(name, read_gauge("5 x 3.75"), stripes=stripes, given=given, **more)
    return script_for(plan)


@pytest.mark.parametrize(
    ("name", "stitch", "stripes", "craft", "hand"),
    [
        *(("throw", "", CHEQUERED, craft, hand) for craft in Craft for hand in Hand),
        ("blanket", "", CHEQUERED, Craft.LOOP, Hand.LEFT),
        ("scarf", "", CHEQUERED, Craft.NEEDLES, Hand.RIGHT),
        ("hooded-scarf", "", CHEQUERED, Craft.LOOP, Hand.RIGHT),
        ("throw", "moss", "cream | 2 sand | cream", Craft.NEEDLES, Hand.LEFT),
        ("throw", "basket", "cream 3, sand | rust 2, cream | rust 3", Craft.LOOP, Hand.RIGHT),
        ("pillow", "", "cream 8, sand 4", Craft.LOOP, Hand.RIGHT),
    ],
)
def test_blocks_are_proven_and_written_and_read_back(name, stitch, stripes, craft, hand):
    script = made(name, stripes, stitch=stitch, craft=craft, hand=hand)
    assert sum(by_colour(script).values()) == script.yarn_loops - (
        sum(s.yarn_loops for s in script.steps if not s.colour)
    )
    text = write([script])
    assert not check_pattern(text).faults
    assert script_of(plan_from_text(text, hand=hand)).steps == script.steps


def test_loops_of_each_colour_are_its_loops_in_every_row_and_its_ends():
    # Counted by hand: 20 loops across, a quarter, a half, a quarter; 15 rows and the foundation;
    # an end of two loops where each yarn begins and where it is cut.
    script = made(stripes="cream | 2 sand | cream")
    assert script.steps[0].loops_after == 20
    rows = sum(s.counts_row for s in script.steps)
    assert by_colour(script) == {"cream": 10 * (rows + 1) + 8, "sand": 10 * (rows + 1) + 4}


def test_a_right_hand_and_a_left_hand_see_the_same_picture():
    # What is written first lies at the left of the right side, whoever works it.
    for hand in Hand:
        drawn = chart(made(stripes="cream | 3 sand", hand=hand), "throw")
        row = next(one for one in drawn.rows if one.label == "1")
        named = {meaning: symbol for symbol, meaning in drawn.key}
        assert "".join(row.cells) == named["knit in cream"] * 5 + named["knit in sand"] * 15


def test_the_words_say_where_the_colour_changes_and_how_the_yarns_cross():
    script = made()
    first, second = [s for s in script.steps if s.counts_row][:2]
    assert wording.instruction(first, script.craft) == "knit 10, change to cream, knit 10"
    assert wording.instruction(second, script.craft) == "knit 10, change to sand, knit 10"
    assert "lay the yarn that you leave over the one that you take up" in wording.spoken(
        first, script.craft
    )


def _with(script, at, change):
    steps = list(script.steps)
    steps[at] = steps[at].model_copy(update={"operations": change(steps[at].operations)})
    return script.model_copy(update={"steps": tuple(steps)})


def test_the_audit_knows_where_each_yarn_hangs():
    script = made(stripes="cream | sand | rust")
    assert audit(script) == []
    rows = [i for i, s in enumerate(script.steps) if s.counts_row]

    def named(old, new):
        return lambda operations: tuple(
            op("colour", 1, new) if o.stitch == "colour" and o.at == old else o for o in operations
        )

    wrong = _with(script, rows[2], named("sand", "cream"))
    assert "takes up cream where that yarn does not hang" in audit(wrong)[0]
    never = _with(script, rows[2], named("sand", "blue"))
    assert "works with blue, which was cut or is not joined" in audit(never)[0]
    moved = _with(script, rows[3], lambda ops: (op("k", 6), ops[1], op("k", 7), *ops[3:]))
    assert any("does not hang" in fault for fault in audit(moved))
    cut = next(i for i, s in enumerate(script.steps) if s.kind is Kind.MARKER)
    twice = _with(script, cut, lambda ops: (*ops[:2], op("tail"), *ops[2:]))
    assert any("which does not hang there" in fault for fault in audit(twice))


def test_a_yarn_waits_where_rounds_begin_until_a_row_is_turned():
    script = made("pillow", "cream 2, sand 2")
    begun = {
        yarn: [i for i, s in enumerate(script.steps) if any(o.at == yarn for o in s.operations)]
        for yarn in ("cream", "sand")
    }
    first, again = begun["sand"][0], begun["cream"][1]
    # The yarns are not cut: cream waits while sand is worked, and is not joined anew.
    script = _with(script, first, lambda ops: tuple(o for o in ops if o.stitch != "tail"))
    ends = {"tail", "join"}
    script = _with(script, again, lambda ops: tuple(o for o in ops if o.stitch not in ends))
    assert not any("hang" in fault for fault in audit(script))
    steps = list(script.steps)
    steps[again - 1] = steps[again - 1].model_copy(update={"direction": Direction.RIGHT_TO_LEFT})
    turned = script.model_copy(update={"steps": tuple(steps)})
    assert any("takes up cream where that yarn does not hang" in fault for fault in audit(turned))


def test_balls_are_begun_in_the_order_in_which_they_are_wanted():
    # 20 loops: of a ball of 52, cream has 10 a row. It lays on 10 and 2 for its end, works 3 rows,
    # and keeps 2; then the next is joined. Row 4 comes back from the left, where cream lies.
    script = made(stripes="cream | sand")
    order = ball_order(script, 52)
    assert [(u.colour, u.ball, u.row) for u in order][:4] == [
        ("cream", 1, None), ("sand", 1, None), ("cream", 2, 4), ("sand", 2, 4),
    ]  # fmt: skip
    assert {u.colour: u.ball for u in order} == {"cream": 4, "sand": 4}
    lines = order_lines(script, 52, 0.0)
    assert lines[0].endswith("Begun: throw, at its beginning; throw, rows 4, 8, 12.")
    # A stripe takes its begun ball up again.
    again = ball_order(made(stripes="cream 2, sand 2"), 200)
    assert [(u.colour, u.ball, u.again) for u in again][:4] == [
        ("cream", 1, False), ("sand", 1, False), ("cream", 1, True), ("sand", 1, True),
    ]  # fmt: skip
    with pytest.raises(Refusal, match="does not reach for a stretch of 20"):
        ball_order(made(stripes="cream 2, sand 2"), 20)


@pytest.mark.parametrize(
    ("name", "stripes", "more", "said"),
    [
        ("throw", "cream | | sand 4", {}, "write a colour on either side of each line"),
        ("throw", "cream | cream 4", {}, "lie side by side: make them one"),
        ("throw", " | ".join("ab" * 7) + " 3", {}, "14 blocks side by side are too many"),
        ("throw", 'the "good" one 3, sand 2', {}, "without quotation marks"),
        ("throw", "cream | 30 sand 4", {}, "narrower than 2: make the piece wider"),
        ("throw", CHEQUERED, {"stitch": "chevron"}, "of knit and purl alone"),
        ("pillow", CHEQUERED, {}, "give stripes, or make a flat piece"),
        ("tote", CHEQUERED, {}, "give stripes, or make a flat piece"),
        ("hat", "cream 4, sand 4", {}, "is of one colour; stripes and blocks are for scarf"),
    ],
)
def test_what_cannot_be_had_is_refused(name, stripes, more, said):
    with pytest.raises(Refusal, match=said):
        made(name, stripes, **more)


def test_every_design_that_takes_stripes_changes_its_yarn():
    for name, chosen in DESIGNS.items():
        if chosen.info.stripes:
            assert set(by_colour(made(name, "cream 3, sand 2"))) == {"cream", "sand"}


def test_one_band_of_blocks_alone_needs_no_rows():
    assert [(s.colour, s.rows) for s in read_stripes("2 cream | sand")] == [("2 cream | sand", 1)]
    names = [block.yarn for block in read_stripes("a | b | a 9")[0].blocks]
    assert names == ["a", "b", "a, ball 2"]


def test_a_make_begun_when_steps_alone_told_their_colour_is_counted_alike():
    script = made(stripes="cream 3, sand 2")
    old = script
    for at in range(len(script.steps)):
        old = _with(old, at, lambda ops: tuple(o for o in ops if o.stitch != "colour"))
    assert audit(old) == []
    assert by_colour(old) == by_colour(script)
    assert ball_order(old, 200) == ball_order(script, 200)
