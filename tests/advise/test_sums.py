"""What a maker asks for in a few words, and what she reads."""

import json

import pytest

from counter.commandline import main
from engine.advise.sums import SUMS, asked
from engine.base.refusal import Refusal


def told(said: str) -> str:
    return "\n".join(asked(said).lines)


def test_the_published_tapers():
    # getknitting.com, "Knitting and the Magic Formula"; designyourownsweater.blogspot.com, 2007.
    assert "every 3rd row 4 times and every 4th row 32 times" in told("taper 36 over 140")
    assert "every 4th row 34 times and every 5th row 8 times" in told("taper 42 over 176")


@pytest.mark.parametrize(
    ("said", "same"),
    [
        ("taper from 60 sts to 40 over 84 rows", "taper 20 over 84"),
        ("taper 40 to 60 over 84 rounds", "taper 20 over 84"),
        ("TAPER 20 loops, at each end over 84", "taper 20 in pairs over 84 rows"),
        ("taper 20 over 84, in pairs", "taper 20 in pairs over 84"),
        ("evenly inc 8 sts in 115", "evenly add 8 into 115 loops"),
        ("evenly decrease 10 from 80", "evenly take 10 over 80."),
        ("crown 96 sts, 8 wedges", "crown 96"),
        ("yoke 200 sts at 20x28", "yoke 200, 20 x 28 / 10 cm"),
        ("taper thirty-six decreases over one hundred and forty rows", "taper 36 over 140"),
        ("evenly eight increases in one hundred fifteen", "evenly inc 8 in 115"),
        ("crown ninety six in eight wedges", "crown 96"),
        ("yoke two hundred at twenty x 28", "yoke 200 at 20 x 28"),
    ],
)
def test_the_same_sum_in_other_words(said, same):
    assert asked(said).found == asked(same).found


def test_evenly_without_a_verb_tells_both_ways_and_each_adds_up():
    # Evenly 8 in 115: 115 / 9 gaps in a row that begins and ends plain, 12 or 13 each.
    found = asked("evenly 8 in 115").found
    assert found.increase.loops_after == 123
    assert found.decrease.loops_after == 107
    assert set(found.increase.plain) == {12, 13}
    assert sum(found.decrease.plain) + 2 * 8 == 115


def test_evenly_where_only_one_way_can_be_had():
    # As many as there are loops: one beside each, not two in one place.
    assert told("evenly 9 in 9").endswith("(work 1, increase) 9 times.")
    assert "Decrease" not in told("evenly 60 in 80")
    with pytest.raises(Refusal, match="too few"):
        asked("evenly 90 in 80")


@pytest.mark.parametrize(
    ("said", "match"),
    [
        ("", "not known"),
        ("knit 8 in 115", "not known"),
        ("taper several over ten", "taper 36 over 140"),
        ("taper 2.5 over 10", "whole numbers, and 2.5 is none"),
        ("evenly -8 in 115", "whole numbers, and -8 is none"),
        ("yoke 200 at 2O x 28", "'200 at 2O x 28'|'2o x 28'"),
        ("taper 5 in pairs over 40", "4 or 6"),
        ("taper 50 over 40", "do not fit"),
        ("taper 40 to 40 over 20", "give 1"),
        ("evenly 0 in 20", "nothing"),
        ("crown 96 in 7 wedges", "91 or 98"),
        ("yoke 200 at 20 x", "gauge|understood"),
        ("yoke 5", "too few"),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(said, match):
    with pytest.raises(Refusal, match=match):
        asked(said)


@pytest.mark.parametrize("one", SUMS, ids=[one.name for one in SUMS])
def test_each_is_a_command_and_its_example_works(one, capsys):
    assert main([one.name, one.example]) == 0
    assert capsys.readouterr().out.strip()
    assert main([one.name, *one.example.split(), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)
