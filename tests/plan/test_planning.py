"""From wishes to a plan, and from a plan to a script: what is refused, and in which words."""

import pytest

from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.plan import planning
from engine.plan.planning import make_plan, read_gauge, script_for
from models.plan import Gauge
from models.script import Craft

GAUGE = read_gauge("5 x 3.75")
ONE_CRAFT = next(name for name, made in DESIGNS.items() if len(made.info.crafts) == 1)
PLAIN = next(name for name, made in DESIGNS.items() if not made.info.stitches)

ONE_COLOUR = next(name for name, made in DESIGNS.items() if not made.info.stripes)


@pytest.mark.parametrize("said", ["", "5", "5 x", "wide x long", "20 x 26 / 4", "0 x 0 / 4in"])
def test_a_gauge_that_is_none_is_refused(said: str) -> None:
    with pytest.raises(Refusal, match="gauge"):
        read_gauge(said)


@pytest.mark.parametrize("said", ["men M", "MEN m", "mens M", "men's m", " men’s-M "])
def test_a_size_of_men_is_found_as_people_write_it(said: str) -> None:
    assert make_plan("pullover", GAUGE, size=said).size == "men M"
    with pytest.raises(Refusal, match="no size"):
        make_plan("pullover", GAUGE, size="mens")


def test_a_gauge_over_inches_is_the_same_over_ten_centimetres() -> None:
    """An inch is 2.54 cm. Source: the international yard and pound agreement of 1959."""
    found = read_gauge("20 x 26 / 4in")
    assert found.loops_per_10cm == pytest.approx(20 * 10 / 10.16)
    assert found.rows_per_10cm == pytest.approx(26 * 10 / 10.16)


@pytest.mark.parametrize(
    ("name", "wishes", "why"),
    [
        (ONE_CRAFT, {"craft": next(c for c in Craft if c not in DESIGNS[ONE_CRAFT].info.crafts)},
         "not with"),
        ("throw", {"size": "M"}, "no sizes"),
        ("hat", {"size": "men M"}, "child, S, M, L, XL. Head: .*; men's are M to XL"),
        ("pullover", {"size": "men 3X"}, "men XL, men XXL.$"),
        ("throw", {"given": {"sleeve": 40.0}}, "no measurement 'sleeve'"),
        ("throw", {"given": {"width": 1e9}}, "out of bounds"),
        ("throw", {"given": {"width": float("nan")}}, "out of bounds"),
        (PLAIN, {"stitch": "moss"}, "no stitch pattern"),
        (ONE_COLOUR, {"stripes": "cream 8, sand 4"}, "of one colour; stripes and blocks are for"),
        ("throw", {"scale": 0.0}, "scale"),
        ("throw", {"scale": 2.0}, "scale"),
        ("throw", {"ball_loops": 0}, "ball"),
    ],
)  # fmt: skip
def test_a_wish_that_cannot_be_is_refused(name: str, wishes: dict, why: str) -> None:
    with pytest.raises(Refusal, match=why):
        make_plan(name, GAUGE, **wishes)


def test_a_plan_without_its_measurements_is_refused() -> None:
    plan = make_plan("throw", GAUGE).model_copy(update={"measures": {}})
    with pytest.raises(Refusal, match="cannot be worked out"):
        script_for(plan)


@pytest.mark.parametrize(
    ("bound", "why"), [("STEPS_AT_MOST", "steps, more than 3"), ("LOOPS_AT_MOST", "loops, more")]
)
def test_more_than_anyone_makes_is_refused(
    bound: str, why: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(planning, bound, 3)
    odd = Gauge(loops_per_10cm=5.125, rows_per_10cm=3.75)  # no other test has its script in store
    with pytest.raises(Refusal, match=why):
        script_for(make_plan("throw", odd))


def test_a_script_that_the_audit_refuses_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(planning, "audit", lambda _: ["row 2 lacks a loop"])
    with pytest.raises(Refusal, match="row 2 lacks a loop"):
        script_for(make_plan("throw", Gauge(loops_per_10cm=5.25, rows_per_10cm=3.75)))
