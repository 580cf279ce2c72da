"""The one table of stitches: every entry is whole, and what is said of two of them agrees."""

import json

import pytest

from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import packing, wording
from engine.script.headline import headline
from models.script import Craft, Kind, Operation, RowScript, Step
from models.stitch import SEVERAL, SPELT, STITCHES, Role, crossing
from tests.designs.strategies import EACH

KEYS = [*STITCHES, "k7tog", "p4tog", "k2tog tbl", "1 into 5", "2/2 rc", "3/1 lpc", "2/1/2 rpc"]


@pytest.mark.parametrize("key", KEYS)
def test_an_entry_knows_its_mirror_and_its_back(key):
    entry = STITCHES[key]
    assert entry.key == key
    for other in (entry.mirror, entry.behind):
        if other:
            assert (STITCHES[other].takes, STITCHES[other].leaves) == (entry.takes, entry.leaves)
    if entry.mirror:
        assert STITCHES[entry.mirror].mirror == key
        assert {entry.lean, STITCHES[entry.mirror].lean} == {"left", "right"}
    if entry.behind:
        assert STITCHES[entry.behind].behind == key


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("craft", Craft)
@pytest.mark.parametrize("times", [1, 3])
def test_an_entry_can_be_told_shown_and_written(key, craft, times):
    from engine.pattern.writing.row_words import operation_words

    for at in ("", "one|other" if key == "pair" else "the join"):
        o = Operation(stitch=key, times=times, at=at)
        step = Step(number=1, part="p", kind=Kind.ROW, row=1, operations=(o,), loops_before=0,
                    loops_after=0, held=0, yarn_loops=0)  # fmt: skip
        words = [wording.operation_text(o, craft), wording.text(step, craft)]
        words += [wording.spoken(step, craft), *(h.words for h in headline(step, craft))]
        words.append("".join(str(piece) for piece in operation_words(o, craft)))
        assert all(words)
        assert "{" not in "".join(words)


# Craft Yarn Council, "Knit Abbreviations" (master list) and "Chart symbols", from memory: what
# each does to the count.
COUNTS = {
    "k": (1, 1), "p": (1, 1), "sl": (1, 1), "yo": (0, 1), "m1": (0, 1), "m1l": (0, 1),
    "m1r": (0, 1), "kfb": (1, 2), "pfb": (1, 2), "k2tog": (2, 1), "p2tog": (2, 1), "ssk": (2, 1),
    "ssp": (2, 1), "k3tog": (3, 1), "sssk": (3, 1), "bo": (1, 0), "co": (0, 1), "2/2 rc": (4, 4),
    "2/2 lpc": (4, 4), "1/1 rc": (2, 2), "2/1/2 lpc": (5, 5), "3/3 lc": (6, 6),
}  # fmt: skip


@pytest.mark.parametrize("key", COUNTS)
def test_published_counts(key):
    assert (STITCHES[key].takes, STITCHES[key].leaves) == COUNTS[key]


@pytest.mark.parametrize(
    ("name", "change"),
    # Craft Yarn Council master list, from memory: each is a decrease by so many.
    [("skp", -1), ("sk2p", -2), ("s2kp2", -2), ("cdd", -2), ("kyok", 2)],
)
def test_names_for_several_stitches_add_up(name, change):
    parts = SEVERAL[name]
    assert sum((STITCHES[s].leaves - STITCHES[s].takes) * n for s, n in parts) == change


def test_a_spelling_means_one_stitch():
    assert not set(SPELT) & set(SEVERAL)
    assert all(key in STITCHES for key in SPELT.values())


def test_what_is_no_stitch_is_none():
    for key in ("k1tog", "2/2 xc", "0/2 rc", "1 into 1", "", "knit"):
        assert key not in STITCHES
        with pytest.raises(KeyError):
            STITCHES[key]


@pytest.mark.parametrize(
    ("key", "through"),
    # By hand, counted from the right. 2/2 RC: the two on the left come to the right, in front.
    # 2/1 LC: the two on the right come to the left, in front of the one.
    # 2/1/2: the middle one stays.
    [("2/2 rc", (2, 3, 0, 1)), ("2/2 lc", (2, 3, 0, 1)), ("2/1 lc", (2, 0, 1)),
     ("2/1 rc", (1, 2, 0)), ("2/1/2 rc", (3, 4, 2, 0, 1)), ("1/3 lpc", (1, 2, 3, 0))],
)  # fmt: skip
def test_a_crossing_says_which_loop_goes_where(key, through):
    assert STITCHES[key].through == through
    assert sorted(through) == list(range(STITCHES[key].takes))


def test_a_crossing_is_named_from_its_numbers():
    assert crossing(2, 2, "right") == "2/2 rc"
    assert crossing(2, 1, "left", purl=True, between=1) == "2/1/1 lpc"
    assert STITCHES["2/2 rc"].role is Role.CROSS


@pytest.mark.parametrize(("name", "craft"), EACH)
def test_a_script_is_written_down_without_what_follows(name, craft):
    script = script_for(make_plan(name, read_gauge("12 x 16"), craft=craft))
    text = packing.packed(script)
    assert packing.unpacked(text) == script
    assert len(text) < 0.6 * len(script.model_dump_json())


def test_a_script_with_its_sentences_in_it_can_still_be_read():
    script = script_for(make_plan("practice", read_gauge("5 x 3.75")))
    old = json.loads(script.model_dump_json())
    for step in old["steps"]:
        step |= {"text": "Row 1: knit 8.", "spoken": "Row 1. Knit 8."}
    assert RowScript.model_validate(old) == script


@pytest.mark.parametrize("text", ["[]", "{}", '{"steps": [1]}', '{"steps": [{"operations": [3]}]}'])
def test_what_is_no_packed_script_is_refused(text):
    with pytest.raises(ValueError, match=r"a packed|validation"):
        packing.unpacked(text)
