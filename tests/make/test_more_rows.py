"""More rows than planned: many ask first, and other rows than were asked for say why."""

import pytest

from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command
from models.state import Tone


@pytest.fixture
def cardigan():
    making = Making(make_plan("cardigan", read_gauge("5 x 3.75"), size="M"))
    making.do(Command(action=Action.ADVANCE), 1.0)
    return making


def more(making, rows, now=2.0):
    return making.do(Command(action=Action.MORE_ROWS, value=rows), now)


def test_sixteen_rows_that_add_two_fifths_of_the_yarn_ask_first(cardigan):
    before = cardigan.state.script.yarn_loops
    asked = more(cardigan, 16)
    assert asked.tone is Tone.ASK
    assert "840 loops of yarn more" in asked.say
    assert cardigan.state.script.yarn_loops == before
    cardigan.do(Command(action=Action.YES), 3.0)
    assert cardigan.state.script.yarn_loops == before + 840


def test_six_rows_do_not_ask(cardigan):
    assert more(cardigan, 6).events


def test_one_row_that_adds_two_says_why_at_once(cardigan):
    said = more(cardigan, 1).say
    assert said.startswith("2 rows are added, not 1: its rows come in pairs")
