"""The shelf is hers: names, copies, what is put away, what is thrown out, what is finished."""

import json
import re

import pytest

from counter.tui.screens.make_menu import MakeMenu
from counter.tui.screens.shelf import Shelf
from engine.keep import shelving
from engine.make import progress
from engine.plan.planning import make_plan, read_gauge
from models.event import Advanced, Finished


@pytest.fixture
def two_makes(store, small_throw):
    plan = make_plan("cowl", read_gauge("5 x 3.75"), title="Reed cowl", ball_loops=90)
    store.create("reed-cowl", plan)
    return "reed-cowl"


async def filled(pilot):
    await pilot.app.workers.wait_for_complete()
    await pilot.pause(0.05)


async def choose(pilot, entry, *typed):
    """Open the menu of the make that is lit, take an entry, and type a line."""
    await pilot.press("i")
    await pilot.pause()
    menu = pilot.app.screen
    assert isinstance(menu, MakeMenu)
    makes = menu.query_one("#menu")
    makes.highlighted = next(i for i, o in enumerate(makes.options) if o.id == entry)
    await pilot.press("enter")
    await pilot.pause()
    if typed:
        pilot.app.screen.query_one("Input").value = typed[0]
        await pilot.press("enter")
    await filled(pilot)


async def test_rename_and_another_like_it(app_of, store, two_makes, text_of):
    async with app_of().run_test(size=(80, 24)) as pilot:
        await filled(pilot)
        await choose(pilot, "rename", "Cowl for the lock")
        assert "cowl-for-the-lock" in store.names()
        assert two_makes not in store.names()
        shown = text_of(pilot.app)
        assert "It is called Cowl for the lock now" in shown
        assert "Cowl for the lock" in shown
        await choose(pilot, "another", "For my sister")
        assert "for-my-sister" in store.names()
        assert "not begun" in text_of(pilot.app)


async def test_an_empty_name_is_refused_where_it_is_typed(app_of, store, two_makes, text_of):
    async with app_of().run_test(size=(80, 24)) as pilot:
        await filled(pilot)
        await choose(pilot, "rename", "  ")
        assert "A make needs a name" in text_of(pilot.app)
        await pilot.press("escape", "escape")
        await filled(pilot)
        assert store.names()[0] == two_makes


@pytest.mark.parametrize(
    "moved", [("put away", "put away"), ("throw out", "thrown out")], ids=["away", "out"]
)
async def test_what_goes_from_the_shelf_stands_at_its_end_and_comes_back(
    app_of, store, two_makes, text_of, moved
):
    entry, heading = moved
    async with app_of().run_test(size=(80, 24)) as pilot:
        await filled(pilot)
        await choose(pilot, entry)
        makes = pilot.app.screen.query_one("#makes")
        assert [o.id for o in makes.options][-2:] == [f"heading: {heading}", two_makes]
        assert f"— {heading} —" in text_of(pilot.app)
        if entry == "throw out":
            assert "30 days left" in text_of(pilot.app)
        makes.highlighted = len(makes.options) - 1
        await choose(pilot, "take back")
        assert "is back on the shelf" in text_of(pilot.app)
        assert shelving.lying(store) == shelving.Lying()
        assert set(store.names()) == {two_makes, "throw"}


async def test_a_finished_make_says_what_it_took_under_a_heading_of_its_own(
    app_of, store, two_makes, text_of
):
    steps = progress.fold(*store.load(two_makes)).script.steps
    events = [Advanced(at=1000.0 + 60 * n, step=step.number) for n, step in enumerate(steps)]
    store.append(two_makes, events)
    store.release(two_makes)
    state = progress.fold(*store.load(two_makes))
    assert state.done
    async with app_of().run_test(size=(80, 24)) as pilot:
        await filled(pilot)
        shown = text_of(pilot.app)
        assert "— finished —" in shown
        took = re.search(r"✓ done, took (.*?), (\d+) rows, (\d+) loops, (\d+) ball", shown)
        assert took
        # By hand: a step a minute, and the script's own loops.
        assert took[1] == f"{len(steps) - 1} min"
        assert int(took[3]) == state.script.yarn_loops
        # Below the throw, which is still to be made.
        assert "go on with it" in shown
        await pilot.press("down")
        await pilot.pause()
        assert "go on with it" not in text_of(pilot.app)


async def test_papers_are_written_where_she_says_and_none_is_replaced(
    app_of, store, two_makes, text_of, tmp_path
):
    async with app_of().run_test(size=(80, 24)) as pilot:
        await filled(pilot)
        for entry, name, begins in (
            ("picture", "p.svg", "<svg"),
            ("chart", "c.txt", "Reed cowl: "),
            ("balls", "b.txt", "Reed cowl\n"),
            ("export", "e.json", "{"),
        ):
            await choose(pilot, entry, str(tmp_path / name))
            text = (tmp_path / name).read_text("utf-8")
            assert begins in text[:400], entry
        assert "Buy " in (tmp_path / "b.txt").read_text("utf-8")
        assert json.loads((tmp_path / "e.json").read_text("utf-8"))["name"] == two_makes
        await choose(pilot, "balls", str(tmp_path / "p.svg"))
        assert "ends in .txt" in text_of(pilot.app)
        await pilot.press("escape", "escape")
        await choose(pilot, "picture", str(tmp_path / "p.svg"))
        assert "already there" in text_of(pilot.app)


async def test_a_make_that_ended_early_is_finished_too(app_of, store, two_makes, text_of):
    store.append(two_makes, [Advanced(at=1.0, step=1), Finished(at=2.0)])
    store.release(two_makes)
    async with app_of().run_test(size=(80, 24)) as pilot:
        await filled(pilot)
        assert isinstance(pilot.app.screen, Shelf)
        assert "— finished —" in text_of(pilot.app)
