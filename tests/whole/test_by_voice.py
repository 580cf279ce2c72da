"""A share of `python -m tests.whole.by_voice`: whole makes by words, from the plan to the end."""

import pytest

from models.script import Craft, Kind
from tests.times import TIMES
from tests.whole.by_voice import EACH, made_by_voice

SHARE = [("petbed", Craft.LOOP), ("vest", Craft.LOOP), ("mittens", Craft.NEEDLES)]


@pytest.mark.parametrize(("name", "craft"), EACH if TIMES > 1 else SHARE)
def test_a_whole_make_by_words(name, craft, tmp_path):
    maker, making = made_by_voice(name, craft, tmp_path)
    steps = making.state.script.steps
    # Every step was said, none was skipped; looks, measures and fits have words of their own.
    assert maker.words >= len(steps)
    assert {Kind.MEASURE, Kind.BACK_CHECK} <= {step.kind for step in steps}


def test_blocks_of_colour_over_moss_by_words(tmp_path):
    wishes = {"stripes": "cream | sand 6, sand | cream 6", "stitch": "moss"}
    wishes["given"] = {"width": 60.0, "height": 60.0}
    _, making = made_by_voice("blanket", Craft.LOOP, tmp_path, **wishes)
    assert making.state.plan.stripes == wishes["stripes"]
