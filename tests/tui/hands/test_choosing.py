"""A tape or a try-on that opens a choice: the list, its figures, and what "where am I" says."""

import re

import pytest
from textual.content import Content

from counter.tui.widgets.lettering import lettered
from engine.advise import choices
from engine.make import answers
from models.command import Action, Command
from models.event import Replanned, RippedBack
from models.script import Kind
from tests.tui.looks.test_all_is_big import read_back
from tests.tui.scenes import SCENES, SIZES, played, shown
from tests.tui.unhurried import work_to


def words(text):
    """The letters of a screen, whatever its lines."""
    return re.sub(r"\s+", " ", text)


async def test_every_choice_stands_in_the_list_with_its_cost_at_every_size(tmp_path):
    async with played(SCENES["too-long"], SIZES[0], tmp_path) as (app, pilot):
        state = app.row_screen.work.state
        there = choices.of(state, app.clock())
        assert len(there) > 1
        losses = [choice.cost.loops for choice in there]
        assert losses == sorted(losses)
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause(0.05)
            screen, seen = shown(app), words(shown(app))
            for choice in there:
                assert answers.cost(choice.cost, state.plan.craft) in seen, size
                if size[0] < 120:
                    assert f" {choice.number} " in seen
                    assert choice.does[1:] in seen, f"{choice.does} at {size}"
                    continue
                # Read from afar, where there is room: letters of three rows, read back from them.
                said = f"{choice.number}) {choice.does}"
                lines = lettered(said, app.row_screen.query_one("#main").size.width)
                assert read_back(Content("\n").join(lines), said.split())
                assert all(line.plain.rstrip() in screen for line in lines), f"{said} at {size}"


async def test_a_figure_takes_the_choice_and_what_loses_work_asks_first(tmp_path):
    async with played(SCENES["too-long"], SIZES[2], tmp_path) as (app, pilot):
        making = app.row_screen.work.making
        there = choices.of(making.state, app.clock())
        losing = next(choice for choice in there if choice.confirm)
        await pilot.press(str(losing.number))
        await pilot.pause()
        assert app.row_screen.has_class("asked")
        await pilot.press("y")
        await pilot.pause()
        assert isinstance(making.events[-1], Replanned | RippedBack)
        assert not app.row_screen.has_class("choosing")


async def test_a_tap_on_a_choice_takes_it(tmp_path):
    async with played(SCENES["too-long"], SIZES[2], tmp_path) as (app, pilot):
        there = choices.of(app.row_screen.work.state, app.clock())
        last = next(choice for choice in there if choice.does == "go on as it is")
        lines = app.screen.query_one("#choices").content.plain.splitlines()
        line = next(y for y, text in enumerate(lines) if text.startswith(f" {last.number} "))
        await pilot.click("#choices", offset=(6, line))
        await pilot.pause()
        assert app.row_screen.work.making.events[-1].kind == "fit verdict"
        assert not app.row_screen.has_class("choosing")


async def test_a_figure_does_nothing_where_no_choice_is_open(tmp_path):
    async with played(SCENES["row"], SIZES[2], tmp_path) as (app, pilot):
        before = app.row_screen.work.making.events
        await pilot.press(*"123")
        await pilot.pause()
        assert app.row_screen.work.making.events == before


@pytest.mark.parametrize("action", [Action.WHERE, Action.SAY_AGAIN])
async def test_where_am_i_and_say_again_tell_the_open_choice(tmp_path, action):
    async with played(SCENES["row"], SIZES[2], tmp_path) as (app, _pilot):
        work_to(app, Kind.FIT_CHECK)
        making, now = app.row_screen.work.making, app.clock()
        assert "choice" not in making.do(Command(action=action), now).say.lower()
        making.do(Command(action=Action.TOO_TIGHT), now)
        said = making.do(Command(action=action), now).say
        assert "Too tight, and a choice is open. Choice 1: " in said
