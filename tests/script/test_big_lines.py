"""All that the hands do stands in the big lines, is spoken, and is in the sheet's short column.

What must be found is told here apart from the templates of the stitch table.
"""

from pathlib import Path

import pytest

from counter.paper.document import _in_short
from engine.designs import DESIGNS
from engine.pattern.make import plan_from_text
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import wording
from engine.script.headline import big
from models.script import Craft, Hand, Kind

CORPUS = Path(__file__).parents[1] / "pattern" / "corpus"
GAUGES = {Craft.LOOP: read_gauge("5 x 3.75"), Craft.NEEDLES: read_gauge("14 x 18")}


def scripts_of_designs():
    for name, design in DESIGNS.items():
        for craft in design.info.crafts:
            for hand in Hand:
                plan = make_plan(name, GAUGES[craft], craft=craft, hand=hand)
                yield f"{name} {craft} {hand}", script_for(plan)


def scripts_of_patterns():
    """The corpus. A design written out and read back has the operations of the design itself."""
    for path in sorted(CORPUS.glob("*.txt")):
        text = path.read_text(encoding="utf-8")
        yield path.stem, script_for(plan_from_text(text, path.stem))


def each_handling_once(scripts):
    """(name, step, craft) of every distinct list of operations: most rows repeat another."""
    found = {}
    for name, script in scripts:
        for step in script.steps:
            found.setdefault((script.craft, step.kind, step.operations), (name, step))
    for (craft, _, _), (name, step) in found.items():
        yield name, step, craft


def wanted(operation, step):
    """Words that tell of a handling, and where; how often is told beside them."""
    at = operation.at.split("|")[0]
    match operation.stitch:
        case "rest" | "rest next":
            return ["leave", "resting", str(operation.times)]
        case "resume":
            return ["take up", str(operation.times), at]
        case "pair":
            return ["against", str(operation.times)]
        case "join":
            return ["join the yarn"]
        case "tail" if step.kind is Kind.FOUNDATION:
            return []  # the needles' is as long as one likes
        case "tail":
            return ["cut the yarn"]
        case "fasten":
            return ["fasten" if operation.times == 1 else "draw the tail"]
        case "pm" | "rm":
            return ["marker", operation.at]
        case "sm":
            return ["slip the marker"]
        case "pick up" | "free":
            # Which rows of an edge they are stands in the sentence alone.
            return [said for said in operation.at.split(", ") if not said.startswith("rows ")]
    return [operation.at] if operation.at else []


HANDS = {
    "close", "fold", "turn", "change", "put", "break", "pull", "weave", "sew", "join", "press",
    "cut", "thread", "block", "stuff", "pin", "graft",
}  # fmt: skip
"""Words with which a sentence of a note begins that the hands do, apart from the stitches."""
CARE = "mind the scissors"
"""What follows is care, and no operation."""


def noted(step):
    """The doing words of a step's note that the big lines must have."""
    found = set()
    for sentence in step.note.lower().split(". "):
        if sentence.startswith(CARE):
            break
        words = sentence.replace(",", " ").replace(":", " : ").split()
        if words and words[0] in HANDS:
            told = words[: words.index(":")] if ":" in words else words
            found |= {word.rstrip(".") for word in told if word.rstrip(".") in HANDS}
    return found


def test_no_step_is_headed_by_the_name_of_its_kind_alone():
    """`Finish` and `marker` say nothing that a hand could do."""
    for source in (scripts_of_designs(), scripts_of_patterns()):
        for name, script in source:
            for step in script.steps:
                said = [one.words for one in big(step, script.craft).row]
                assert said not in (["finish"], ["marker"]), (name, step.number, step)


def test_what_a_note_has_the_hands_do_is_in_the_big_lines_and_the_short_column():
    seen = set()
    for source in (scripts_of_designs(), scripts_of_patterns()):
        for name, script in source:
            for step in script.steps:
                lines, short = big(step, script.craft), _in_short(step, script.craft)
                shown = " ".join((*lines.before, *(o.words for o in lines.row), *lines.after))
                for word in noted(step):
                    seen.add(word)
                    assert word in shown.lower(), (name, step.number, word, shown)
                    assert word in short.lower(), (name, step.number, word, short)
    assert {"close", "fold", "turn", "put", "pull", "weave", "cut"} <= seen


def test_the_last_step_of_all_says_large_what_is_done_with_the_ends():
    script = script_for(make_plan("cardigan", GAUGES[Craft.LOOP], size="M"))
    lines = big(script.steps[-1], script.craft)
    assert [one.words for one in lines.row] == ["cut each end open", "weave it in"]
    assert lines.after == ("12 ends",)
    text = "Cast on 10 sts.\nRow 1: k10.\nBind off all sts.\nSew the side seam. Sew on a button.\n"
    needles = script_for(plan_from_text(text, "pouch", gauge=GAUGES[Craft.NEEDLES]))
    lines = big(needles.steps[-1], needles.craft)
    assert lines.before == ("sew the side seam", "sew on a button")
    assert [one.words for one in lines.row] == ["weave in the ends"]


@pytest.mark.parametrize(
    "talk",
    [
        "Much love, Edith.",
        "Enjoy! And send me pictures!",
        "Finish!",
        "*Done!*",
        "Thank you!",
        "It's about 5 inches wide.",
        "Not for children under three because of small parts.",
        "© 2016 Ottilie Farthing. For personal use only. Please do not sell what you make.",
        "3 thoughts on this hat\nMarla says: lovely!",
    ],
)
def test_what_is_said_in_parting_is_not_large_and_not_lost(talk):
    text = f"Cast on 10 sts.\nRow 1: k10.\nBind off all sts.\nSew the side seam. {talk}\n"
    script = script_for(plan_from_text(text, "pouch", gauge=GAUGES[Craft.NEEDLES]))
    last = script.steps[-1]
    lines = big(last, script.craft)
    assert lines.before == ("sew the side seam",)
    assert [one.words for one in lines.row] == ["weave in the ends"]
    assert lines.after == ()


@pytest.mark.parametrize(
    "said", ["If you like, sew on a button.", "Thread a ribbon through, and enjoy!"]
)
def test_what_is_to_be_done_is_large_though_it_is_said_in_talk(said):
    text = f"Cast on 10 sts.\nRow 1: k10.\nBind off all sts.\n{said}\n"
    script = script_for(plan_from_text(text, "pouch", gauge=GAUGES[Craft.NEEDLES]))
    assert big(script.steps[-1], script.craft).before == (said[0].lower() + said[1:].strip(".!"),)


def test_a_step_that_works_no_loop_is_headed_by_what_it_moves():
    """In the order of the hands: the marker out, the halves apart, then the chain."""
    script = script_for(make_plan("pillow", GAUGES[Craft.LOOP]))
    closing = next(s for s in script.steps if s.kind is Kind.SEAM)
    lines = big(closing, script.craft)
    assert lines.before[0] == "turn it inside out"
    assert lines.before[1].startswith("remove the marker")
    assert lines.before[2].startswith("leave ")
    assert [one.words for one in lines.row] == ["chain 39"]
    cardigan = script_for(make_plan("cardigan", GAUGES[Craft.LOOP], size="S"))
    lines = big(next(s for s in cardigan.steps if s.kind is Kind.BIND_OFF), cardigan.craft)
    assert lines.before[-1].startswith("remove the marker after ")
    assert [one.words for one in lines.row] == ["bind off 2"]
    cap = script_for(make_plan("cap", GAUGES[Craft.LOOP]))
    lines = big(next(s for s in cap.steps if s.kind is Kind.BIND_OFF), cap.craft)
    assert [one.words for one in lines.row] == ["draw the tail through 8"]


@pytest.mark.parametrize(
    ("source", "least"), [(scripts_of_designs, 500), (scripts_of_patterns, 200)]
)
def test_every_operation_of_every_step_stands_in_the_big_lines_and_is_said(source, least):
    seen = 0
    for name, step, craft in each_handling_once(source()):
        seen += 1
        lines = big(step, craft)
        words = [one.words for one in lines.row]
        shown = " / ".join((*lines.before, *words, *lines.after)).lower()
        said = wording.spoken(step, craft).lower()
        short = _in_short(step, craft).lower()
        assert lines.row
        for operation in step.operations:
            for word in wanted(operation, step):
                if not (operation.entry.along and " edges" in shown):
                    assert word.lower() in shown, (name, step.number, operation, shown)
                assert word.lower() in said, (name, step.number, operation, said)
                if operation.entry.second or (word == operation.at and "pm" in short):
                    assert word.lower() in short, (name, step.number, operation, short)
            if operation.entry.along:  # the sentence tells all of it, which rows of an edge too
                for piece in operation.at.lower().split(", "):
                    assert piece in said, (name, step.number, operation, said)
        assert "(" not in said
    assert seen >= least


def test_the_first_loops_of_a_foundation_are_its_tail():
    script = script_for(make_plan("throw", GAUGES[Craft.LOOP]))
    # Two loops are left as a tail, and the third is the first that is counted (common practice,
    # no source).
    assert big(script.steps[0], script.craft).before == ("the first 2 are the tail",)
    needles = script_for(make_plan("throw", GAUGES[Craft.NEEDLES], craft=Craft.NEEDLES))
    assert big(needles.steps[0], needles.craft).before == ()


def test_what_is_done_first_stands_first():
    script = script_for(make_plan("cardigan", GAUGES[Craft.LOOP], size="S"))
    back = next(s for s in script.steps if s.part == "back" and s.row == 1)
    lines = big(back, script.craft)
    assert lines.before == ("take up 21 from body", "join the yarn")
    assert [one.words for one in lines.row] == ["knit 22"]
    assert lines.after == ()
    front = next(s for s in script.steps if s.part == "right front" and s.row == 1)
    assert big(front, script.craft).after == ("leave 32 resting",)
    marker = next(s for s in script.steps if s.kind is Kind.MARKER)
    assert big(marker, script.craft).after == ("after 6 loops", "6 loops before the end")


def test_what_is_picked_up_along_several_edges_is_one_number_and_their_names():
    script = script_for(make_plan("cardigan", GAUGES[Craft.LOOP], size="S"))
    edging = next(s for s in script.steps if s.part == "edging")
    lines = big(edging, script.craft)
    (row,) = lines.row
    assert row.words == f"pick up {edging.loops_after}"
    # Up the front, its slope, the neck, and down again: each is told in the sentence.
    assert lines.after == ("5 edges",)


def test_an_armhole_is_named_once():
    script = script_for(make_plan("cardigan", GAUGES[Craft.LOOP], size="L"))
    sleeve = next(s for s in script.steps if s.part == "right sleeve")
    lines = big(sleeve, script.craft)
    assert lines.before == ("leave 1 resting", "join the yarn")
    # 2 of the underarm before its middle, and 2 after
    side = next(o.times for o in sleeve.operations if o.at == "the right armhole, back")
    assert lines.after == (
        f"along the right armhole: 2 underarm, {side} back, {side} front, 2 underarm",
    )
