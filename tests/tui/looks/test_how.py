"""The page that shows how the hands do a step."""

import pytest

from counter.shared.work import Work
from counter.tui.screens.how import HowScreen
from counter.tui.widgets.hands import Hands
from engine.draw.movement.movements import MOVEMENTS
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.script import Craft
from tests.tui.scenes import SCENES, played, shown


@pytest.mark.parametrize("size", [(40, 15), (80, 24), (200, 60)])
async def test_every_stage_is_reached_by_turning_on_and_left_by_turning_back(size, tmp_path):
    async with played(SCENES["how"], size, tmp_path) as (app, pilot):
        assert isinstance(app.screen, HowScreen)
        wanted = {stage.sentence for one in app.screen._movements for stage in one.stages}
        seen = set()
        for _ in range(20):
            told = " ".join(shown(app).split())
            seen |= {said for said in wanted if _heads(said) in told}
            await pilot.press("right")
        assert seen == wanted
        for _ in range(20):
            await pilot.press("left")
        hands = app.screen.query_one(Hands)
        assert (hands.first, hands.movement) == (0, app.screen._movements[0])
        await pilot.press("escape")
        assert not isinstance(app.screen, HowScreen)


def _heads(sentence):
    """Its first two words: side by side the lines of several run into one another."""
    return " ".join(sentence.split()[:2])


async def test_on_needles_it_says_what_they_do_and_draws_no_loop_yarn(app_of):
    plan = make_plan("socks", read_gauge("28 x 36"), size="M", craft=Craft.NEEDLES)
    app = app_of()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_make(Work("make", Making(plan)))
        await pilot.pause()
        await pilot.press("k")
        await pilot.pause()
        told = shown(app)
        assert "leave an end three" in " ".join(told.split())
        assert not any("\u2800" < letter <= "\u28ff" for letter in told)


async def test_it_shows_what_this_step_asks_for(tmp_path):
    async with played(SCENES["how"], (120, 40), tmp_path) as (app, _):
        keys = [one.key for one in app.screen._movements]
        assert 0 < len(keys) < len(MOVEMENTS)
        assert "knit" in keys
