"""Whole patterns of our own, in the varieties of wording that print has."""

import tomllib
from pathlib import Path

import pytest

from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern
from engine.pattern.make import plan_from_text, script_of
from engine.plan.planning import read_gauge, script_for
from engine.script import wording
from engine.script.audit import audit
from models.script import Craft, Hand, Kind
from tests.pattern.literal import literal

CORPUS = Path(__file__).parent / "corpus"
EXPECTED = tomllib.loads((CORPUS / "patterns.toml").read_text(encoding="utf-8"))
NAMES = sorted(EXPECTED)


def text_of(name: str) -> str:
    return (CORPUS / f"{name}.txt").read_text(encoding="utf-8")


def test_every_pattern_of_the_corpus_has_its_figures() -> None:
    assert {path.stem for path in CORPUS.glob("*.txt")} == set(NAMES)
    assert len(NAMES) >= 8


@pytest.mark.parametrize("name", NAMES)
def test_patterns_count_as_worked_out_by_hand(name: str) -> None:
    checked = check_pattern(text_of(name))
    assert [f.sentence() for f in checked.faults] == []
    told = {c.size.replace(" ", "_") if c.size == "one size" else c.size: c for c in checked.counts}
    assert {size: [c.rows, c.most_loops] for size, c in told.items()} == EXPECTED[name]


@pytest.mark.parametrize("name", NAMES)
def test_their_scripts_are_sound_and_come_back_when_written_out(name: str) -> None:
    text = text_of(name)
    for size in check_pattern(text).sizes:
        plan = plan_from_text(text, name, size="" if size == "one size" else size)
        script = script_for(plan)
        assert audit(script) == []
        assert script.steps[-1].kind is Kind.FINISH
        again = script_of(plan_from_text(literal(script), size=script.size))
        assert again == script


@pytest.mark.parametrize("name", NAMES)
def test_a_left_hand_works_them_mirrored(name: str) -> None:
    text = text_of(name)
    right = script_for(plan_from_text(text))
    left = script_for(plan_from_text(text, hand=Hand.LEFT))
    swap = {"right to left": "left to right", "left to right": "right to left"}
    told = [s.direction and s.direction.value for s in right.steps]
    assert [s.direction and s.direction.value for s in left.steps] == [
        swap.get(d, d) if d else d for d in told
    ]


def test_the_words_follow_the_craft() -> None:
    loops = script_for(plan_from_text(text_of("scarf")))
    stitches = script_for(plan_from_text(text_of("shawl")))
    assert loops.craft is Craft.LOOP
    assert "12 loops" in wording.text(loops.steps[0], loops.craft)
    assert stitches.craft is Craft.NEEDLES
    assert "3 stitches" in wording.text(stitches.steps[0], stitches.craft)


def test_needles_turn_and_loop_yarn_does_not() -> None:
    stitches = [s for s in script_for(plan_from_text(text_of("shawl"))).steps if s.counts_row]
    assert [s.side for s in stitches[:4]] == ["RS", "WS", "RS", "WS"]
    loops = [s for s in script_for(plan_from_text(text_of("scarf"))).steps if s.counts_row]
    assert [s.side for s in loops[:2]] == [None, None]
    assert [s.direction.value for s in loops[:2] if s.direction] == [
        "right to left",
        "left to right",
    ]


def test_binding_off_on_needles_uses_yarn() -> None:
    stitches = script_for(plan_from_text(text_of("dishcloth")))
    bound_off = next(s for s in stitches.steps if s.kind is Kind.BIND_OFF)
    assert bound_off.yarn_loops >= 3


def test_the_tape_decides_an_open_length() -> None:
    plan = plan_from_text(text_of("scarf"))
    rows = [s for s in script_for(plan).steps if s.counts_row]
    assert {(s.rows, s.rows_planned) for s in rows} == {(None, 56)}
    longer = script_for(plan.model_copy(update={"rows": {"scarf": 60}}))
    assert sum(s.counts_row for s in longer.steps) == 60
    with pytest.raises(Refusal, match="row by row"):
        script_for(plan.model_copy(update={"rows": {"scarf": 0}}))


def test_another_gauge_makes_other_rows_to_the_same_length() -> None:
    plan = plan_from_text(text_of("scarf"), gauge=read_gauge("5 x 4"))
    assert sum(s.counts_row for s in script_for(plan).steps) == 60


def test_notes_speak_of_one_size_only() -> None:
    text = text_of("vest").replace(
        "Note: Look", "Note (M, L): Only here. \nNote: Leave 9 (10, 11) loops. Look"
    )
    for size, number in (("S", "9"), ("L", "11")):
        steps = script_for(plan_from_text(text, size=size)).steps
        assert any(f"Leave {number} loops" in s.note for s in steps)


def test_the_notation_page_shows_what_can_be_read() -> None:
    """The examples of NOTATION.md are patterns themselves."""
    page = (Path(__file__).parents[2] / "engine/pattern/NOTATION.md").read_text(encoding="utf-8")
    blocks = page.split("```")[1::2]
    first = check_pattern(blocks[0].strip("\n"))
    assert [f.sentence() for f in first.faults] == []
    assert [c.rows for c in first.counts] == [41, 44, 47]
    second = check_pattern("Sizes: S (M, L)\nGauge: 5 x 4\n" + blocks[1].strip("\n"))
    assert not second.unread


def test_a_pattern_is_registered_as_a_design() -> None:
    plan = plan_from_text(text_of("cowl"), size="long")
    assert plan.design == "written"
    assert script_for(plan).size == "long"
    with pytest.raises(Refusal, match="its sizes are short, long"):
        plan_from_text(text_of("cowl"), size="XL")
    with pytest.raises(Refusal, match="no gauge"):
        plan_from_text("Cast on 3 loops.\nRow 1: knit.\nBind off all.")
