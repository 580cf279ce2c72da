"""The learned decision: what it looks at, how it adds up, and what is kept of it."""

import json
import math

import pytest

from engine.ears.fit import Fit
from engine.ears.guard import BOUNDS, Sensitivity
from engine.ears.weighing import (
    ALIKE,
    FEATURES,
    Forest,
    Node,
    alike,
    features,
    forest,
    likely,
    packed,
    unpacked,
)
from tests.ears.test_guard import evidence

GOOD = Fit(
    worst=-0.4, mean=-0.15, margin=1.5, free=0.02, start_s=0.3, end_s=0.95, shortest_s=0.05,
    silent_before=0.9, silent_after=0.95, total=-60.0,
)  # fmt: skip


def said(text="row done", fit=GOOD, **changes):
    usual = {"hurried_s": 0.08, "rises_db": 25.0, "falls_db": 25.0, "background_db": -60.0}
    return evidence(text, fit=fit, **(usual | changes))


def value(name, shown):
    return features(shown)[list(FEATURES).index(name)]


def test_a_tree_asks_its_way_down_and_the_leaves_add_up():
    first = (
        Node(feature=0, at_most=0.5, left=1, right=2),
        Node(value=-1.0),
        Node(feature=1, at_most=3.0, unknown_left=False, left=3, right=4),
        Node(value=0.25),
        Node(value=2.0),
    )
    made = Forest(features=("a", "b"), base=0.5, trees=(first, (Node(value=0.125),)))

    def odds(*values):
        share = made.likely(values)
        return math.log(share / (1 - share))

    assert odds(0.5, 9) == pytest.approx(0.5 - 1.0 + 0.125)
    assert odds(0.6, 3) == pytest.approx(0.5 + 0.25 + 0.125)
    assert odds(0.6, 3.1) == pytest.approx(0.5 + 2.0 + 0.125)
    assert odds(0.6, math.nan) == pytest.approx(0.5 + 2.0 + 0.125)
    assert odds(math.nan, 0) == pytest.approx(0.5 - 1.0 + 0.125)
    tilted = made.model_copy(update={"slope": 2.0, "offset": -1.0})
    assert tilted.likely((0.5, 9)) == pytest.approx(1 / (1 + math.exp(0.75 + 1.0)))


def test_what_is_packed_is_unpacked():
    assert unpacked(packed(forest())) == forest()
    assert unpacked(packed(alike()), ALIKE) == alike()


def test_what_sounds_more_like_something_else_is_less_likely_and_no_likeness_makes_it_likelier():
    known = [likely(said(unlike=far)) for far in (-40.0, -10.0, 0.0, 10.0, 40.0)]
    assert known == sorted(known)
    assert known[0] < BOUNDS[Sensitivity.EVEN].sure < known[-1] <= likely(said(unlike=None))


def test_a_decision_fitted_on_other_evidence_is_refused():
    told = json.loads(packed(forest()))
    told["features"] = told["features"][1:]
    with pytest.raises(ValueError, match="fit it again"):
        unpacked(json.dumps(told))


def test_it_is_small():
    assert len(packed(forest())) < 200_000


def test_what_is_not_known_is_no_number():
    assert math.isnan(value("own level", said()))
    assert value("own level", said(own_level_db=-30.0)) == pytest.approx(5.0)
    assert math.isnan(value("own pace", said()))
    assert value("own pace", said(own_phone_s=0.1)) == pytest.approx(0.7 / 5 / 0.1)
    assert math.isnan(value("hurried", said(hurried_s=None)))
    assert math.isnan(value("worst", said(fit=None)))
    assert math.isnan(value("rival", said()))
    assert value("rival", said(rival=90.0)) == 40.0


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("row done", 0),
        ("rip back two rows", 1),
        ("rip back twelve rows", 1),
        ("rip back fifteen rows", 2),
        ("rip back forty rows", 2),
        ("rip back forty six rows", 3),
        ("dropped loop at one hundred twelve", 1),
    ],
)
def test_how_near_a_number_is_to_others(text, kind):
    assert value("number", said(text)) == kind


def test_a_phrase_said_well_is_likely_and_one_that_hardly_fits_is_less_so():
    poor = GOOD.model_copy(update={"worst": -7.0, "mean": -2.5, "margin": -6.0, "free": 1.5})
    murmur = {"confidence": 0.5, "agreed": False, "level_db": -45.0, "rises_db": 3.0}
    assert likely(said()) > 0.95
    assert likely(said(fit=poor)) < likely(said())
    assert likely(said(fit=poor, **murmur)) < 0.5


@pytest.mark.parametrize(
    ("name", "less", "more"),
    [
        ("confidence", 0.5, 1.0),
        ("quiet_before_s", 0.1, 2.0),
        ("rises_db", 2.0, 30.0),
        ("falls_db", 2.0, 30.0),
        ("background_db", -26.0, -60.0),
        ("talk_s", 8.0, 0.0),
        ("agreed", False, True),
        ("passed_over", 2, 0),
    ],
)
def test_better_evidence_is_never_less_likely(name, less, more):
    assert likely(said(**{name: less})) <= likely(said(**{name: more}))


def test_a_number_with_a_near_rival_is_less_likely():
    near = likely(said("rip back fifteen rows", rival=0.2))
    assert near < likely(said("rip back fifteen rows", rival=30.0))
