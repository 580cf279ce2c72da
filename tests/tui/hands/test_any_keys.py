"""Any keys in any order: the app stays, and what it shows is what its journal says."""

import random

import pytest

from engine.make import progress
from engine.words.vocabulary import PAGES, words
from tests.tui.scenes import NAME, SCENES, SIZES, Scene, played

_KEYS = [
    *(key for line in words() for key in line.keys),
    *(key for page in PAGES for key in page.keys if key != "q"),  # q may leave the app
    *"123456789",
    *("enter", "escape", "tab", "down", "up"),
    *("space",) * 6,
]
_PRESSED = 80


@pytest.mark.parametrize("seed", range(3))
async def test_no_order_of_keys_parts_the_screen_from_the_journal(seed, tmp_path):
    chance = random.Random(seed)
    async with played(Scene(), chance.choice(SIZES), tmp_path) as (app, pilot):
        row = app.row_screen
        for count in range(_PRESSED):
            app.simulate_key(chance.choice(_KEYS))
            await pilot.pause()
            if count % 30 == 0:
                await pilot.resize_terminal(*chance.choice(SIZES))
        plan, events = app.store.load(NAME)
        assert events == row.work.making.events
        assert progress.fold(plan, events) == row.work.state
        assert len(events) > 20


@pytest.mark.parametrize("name", ["row", "measures", "settings-words"])
async def test_no_window_is_too_narrow_to_live(name, tmp_path):
    """A window that is dragged has every width; what finds no cell is left out."""
    async with played(SCENES[name], SIZES[2], tmp_path) as (app, pilot):
        for size in ((27, 12), (21, 39), (9, 5), (2, 40), (1, 1), SIZES[2]):
            await pilot.resize_terminal(*size)
        assert app.is_running
        assert tuple(app.size) == SIZES[2]
