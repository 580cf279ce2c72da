"""What who only listens needs to be told, in every design: issue by issue what a beginner lacks.

The cardigan as a whole is read aloud in `tests/cli/golden`; what is asked of markers and yarn, the
graph in `tests/simulation` sees in every design.
"""

import pytest

from engine.designs import DESIGNS
from engine.draw.schematic import layout
from engine.draw.schematic_svg import svg
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import wording
from models.script import Craft, Direction, Hand, Kind
from tests.designs.strategies import EACH

LOOP = [name for name, chosen in DESIGNS.items() if Craft.LOOP in chosen.info.crafts]
OTHER = {"right": "left", "left": "right"}


def script(name, craft=Craft.LOOP, hand=Hand.RIGHT, **given):
    gauge = read_gauge("5 x 3.75" if craft is Craft.LOOP else "12 x 16")
    return script_for(make_plan(name, gauge, craft=craft, hand=hand, given=given))


def texts(made):
    return [wording.text(step, made.craft) for step in made.steps]


@pytest.mark.parametrize(("name", "craft"), EACH)
def test_the_tape_lies_along_the_rows_whose_length_it_decides(name, craft):
    """Who measures as she is told and finds what is wanted has her own gauge confirmed: the rows
    of the part are as long as the tape should say, within a row and the one that parity asks."""
    made = script(name, craft)
    for at, step in enumerate(made.steps):
        if step.kind is Kind.MEASURE:
            rows = sum(s.counts_row for s in made.steps[:at] if s.part == step.part)
            assert abs(rows / made.gauge.rows_per_cm - step.target_cm) <= (
                1.1 / made.gauge.rows_per_cm
            ), step.note


@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize("name", LOOP)
def test_loop_yarn_is_told_how_it_lies_and_which_way_it_goes(name, hand):
    made = script(name, hand=hand)
    right, left = ("right", "left") if hand is Hand.RIGHT else ("left", "right")
    first = texts(made)[0]
    assert f"from {left} to {right}, each with its loop up and none twisted" in first
    assert f"the yarn to the ball hangs at the {right} end" in first
    row = next(step for step in made.steps if step.counts_row)
    if row.kind is Kind.ROUND:
        ring = texts(made)[1]
        assert f"goes from {right} to {left}, the right side towards you" in ring
        assert "not twisted" in ring
    else:
        assert f"Row 1 goes back over them from {right} to {left}" in first
        assert "the work is never turned" in first


@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize("name", LOOP)
def test_where_it_first_narrows_or_grows_it_says_how(name, hand):
    made = script(name, hand=hand)
    for stitch, word in (("dec", "one loop through both"), ("inc", "two loops through the same")):
        for step in made.steps:
            if any(o.stitch == stitch for o in step.operations):
                assert word in wording.spoken(step, made.craft)
                break


FIRST = {
    "k2tog": "the second lies on the first",
    "ssk": "the first lies on the second",
    "p2tog": "Purl two together: go into both at once",
    "m1l": "through its back",
    "m1r": "through its front",
}
NEEDLES = [name for name, chosen in DESIGNS.items() if Craft.NEEDLES in chosen.info.crafts]


@pytest.mark.parametrize("name", NEEDLES)
def test_needles_are_told_once_how_a_stitch_is_worked(name):
    made = script(name, Craft.NEEDLES)
    told = [wording.spoken(step, made.craft) for step in made.steps]
    for stitch, word in FIRST.items():
        for step in made.steps:
            if step.counts_row and any(o.stitch == stitch for o in step.operations):
                assert word in told[step.number - 1], (stitch, step.number)
                assert sum(word in one for one in told) == 1
                break


@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize("name", ["cardigan", "vest", "child-cardigan", "pullover"])
def test_rings_say_where_they_begin_and_which_way_they_go(name, hand):
    made = script(name, hand=hand)
    way = "from right to left" if hand is Hand.RIGHT else "from left to right"
    rings = [
        step
        for step in made.steps
        if step.kind is Kind.PICK_UP and step.direction is Direction.AROUND
    ]
    assert len(rings) >= 2
    for step in rings:
        assert "Begin at" in step.note or "Begin under" in step.note
        assert way in step.note
        assert "one strand of the edge" in step.note
        after = made.steps[step.number]
        assert after.kind is Kind.MARKER
        assert "Every round begins here" in after.note
    assert sum("right side out" in text for text in texts(made)) == 1


@pytest.mark.parametrize("name", ["cardigan", "vest", "child-cardigan"])
def test_a_chain_says_its_way_where_it_is_another_than_the_rows(name):
    for hand, way in ((Hand.RIGHT, "Right to left: "), (Hand.LEFT, "Left to right: ")):
        made = script(name, hand=hand)
        chains = [s for s in made.steps if s.kind is Kind.BIND_OFF and s.part.endswith("armhole")]
        assert len(chains) == 2
        said = "To the left." if hand is Hand.RIGHT else "To the right."
        for step in chains:
            assert wording.text(step, made.craft).startswith(way)
            assert said in wording.spoken(step, made.craft, made.steps[step.number - 2])


@pytest.mark.parametrize("name", ["cardigan", "child-cardigan"])
def test_lengths_are_measured_where_they_count(name):
    told = " ".join(texts(script(name)))
    for words in ("up from the foundation", "up from the underarm", "from the pick-up", "both sl"):
        assert words in told


@pytest.mark.parametrize("name", ["cardigan", "vest", "child-cardigan"])
def test_left_handed_parts_are_named_as_they_are_worn(name):
    """Her first front is the left one: each part and corner is the other one's, all else alike."""
    right, left = texts(script(name)), texts(script(name, hand=Hand.LEFT))

    def mirrored(text):
        words = text.replace("right side", "#side").split(" ")
        return " ".join(
            word.replace("right", "%").replace("left", "right").replace("%", "left")
            for word in words
        ).replace("#side", "right side")

    for one, other in zip(right, left, strict=True):
        unlike = ("left over", "ends up", "right to", "Right to", "Left to", "left to")
        if not any(word in one for word in unlike):
            assert mirrored(one).lower() == other.lower()


@pytest.mark.parametrize("name", ["cardigan", "vest"])
def test_needles_have_the_first_stitch_and_an_edge_that_lies_flat(name):
    made = script(name, Craft.NEEDLES)
    told = " ".join(texts(made))
    assert "is already on the needle" in told
    for hem, stitches in (("ribbed_hem", {"k", "p"}), ("garter_hem", {"k"})):
        other = script(name, Craft.NEEDLES, **{"ribbed_hem": 0.0, "garter_hem": 0.0, hem: 5.0})
        rows = [s for s in other.steps if s.part == "hem" and s.counts_row]
        assert rows
        assert {o.stitch for s in rows for o in s.operations} == stitches


@pytest.mark.parametrize("craft", Craft)
@pytest.mark.parametrize("name", ["cardigan", "vest", "child-cardigan", "pullover"])
def test_each_edge_that_is_offered_is_worked_and_drawn_and_keeps_the_measures(name, craft):
    none = {"ribbed_hem": 0.0, "garter_hem": 0.0}
    plain = script(name, craft, **none)
    assert "hem" not in {s.part for s in plain.steps if s.kind is Kind.FOUNDATION}
    for hem, cm in (("ribbed_hem", 5.0), ("garter_hem", 5.0), ("garter_hem", 1.0)):
        other = script(name, craft, **{**none, hem: cm})
        ends = [part for part in other.parts if part.endswith(("hem", "cuff"))]
        assert len(ends) == (1 if name == "vest" else 3)
        row = 1 / other.gauge.rows_per_cm
        for part in ends:
            rows = [s for s in other.steps if s.part == part and s.counts_row]
            # A flat hem has an even number of rows, so that the yarn waits at the right edge.
            assert len(rows) * row == pytest.approx(cm, abs=1.7 * row)
        for high in {"body height", "sleeve length"} & plain.finished_cm.keys():
            assert other.finished_cm[high] == pytest.approx(plain.finished_cm[high], abs=row)
        assert ">hem" in svg(layout(other), "")


def test_a_sock_is_told_round_its_corners():
    made = script("socks", Craft.NEEDLES)
    told = " ".join(wording.spoken(step, made.craft) for step in made.steps).lower()
    for words in (
        "not twisted", "turn after each row", "as if to purl", "beyond the turn", "one by one",
        "before the gap", "resting as instep", "take up", "one for each slipped edge",
        "remove the marker", "come last in the round", "the second lies on the first",
        "middle of the heel", "cut the yarn", "four times as long", "wrong sides together",
        "scissors", "infants", "second sock",
    ):  # fmt: skip
        assert words in told, words
