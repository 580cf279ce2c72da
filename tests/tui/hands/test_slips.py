"""Slips of the hand, each with what must happen.

`SLIPS` is the list: what slipped, the hands that do it, how many rows may count, and what is shown
afterwards. What wants a real terminal or a browser stands in `ELSEWHERE`, with its test.
"""

import re
from pathlib import Path

import pytest
from textual import events

from counter.tui.screens.ask import Ask
from counter.tui.screens.row import RowScreen
from counter.tui.screens.settings import SettingsScreen
from counter.tui.screens.shelf import Shelf
from counter.tui.widgets.words import Field, Pick
from tests.tui.hands.test_held_keys import Keyboard

ROOT = Path(__file__).parents[3]
HANDS = "tests/tui/hands"
ELSEWHERE = {
    "the space bar is held in a terminal": f"{HANDS}/test_terminal.py::test_a_held_space_bar",
    "the space bar is held in a browser": "tests/web/test_browser.py::test_open_type_and_the_row",
    "six comma five is typed in a browser": "tests/web/test_browser.py::test_open_type_and_the_row",
    "400 lines are pasted": f"{HANDS}/test_terminal.py::test_a_pattern_of_four_hundred_rows",
    "a double tap": f"{HANDS}/test_held_keys.py::test_a_double_tap_on_a_key_of_the_foot",
    "enter is held in a dialog": f"{HANDS}/test_held_keys.py::test_enter_held_in_a_dialog",
    "one stray enter in plain": "tests/cli/test_plain.py::test_enter_alone_moves_nothing",
    "ctrl+z in a terminal": f"{HANDS}/test_terminal.py::test_ctrl_z_gives_the_shell",
    "the terminal is closed": "tests/faults/test_terminal.py::test_hung_up_it_leaves_the_rows",
    "two windows at once": "tests/faults/test_two_windows.py::test_the_app_asks_and_takes_over",
    "the window is shrunk to nothing": "tests/faults/test_terminal.py::test_shrunk_to_nothing",
}


async def keys(hands, pilot, *pressed, after=20.0):
    await hands.press(pilot, *pressed, after=after)
    await pilot.pause()


async def held(hands, pilot):
    await hands.hold(pilot, "space")


async def sleeve(hands, pilot):
    """It lies on the space bar and the row of keys above it, and rocks."""
    for _ in range(4):
        await keys(hands, pilot, "space", "b", "n", after=0.05)


async def drumming(hands, pilot):
    """Two keys hit in turn, far quicker than any row."""
    await keys(hands, pilot, "space")
    for _ in range(5):
        await keys(hands, pilot, "w", "space", after=0.05)


async def mouse(pilot, kind, x, y, button=1):
    more = (0, 0, button, False, False, False)
    pilot.app.post_message(kind(None, x, y, *more, screen_x=x, screen_y=y))
    await pilot.pause()


async def wheel(_hands, pilot):
    for kind in (events.MouseScrollDown, events.MouseScrollUp):
        for y in (3, 10, 23):
            await mouse(pilot, kind, 10, y, 0)


async def click(_hands, pilot):
    for x, y in ((20, 5), (40, 12), (5, 0), (70, 18)):
        for button in (1, 2, 3):
            await mouse(pilot, events.MouseDown, x, y, button)
            await mouse(pilot, events.MouseUp, x, y, button)


async def drag(_hands, pilot):
    """From the text to the first key of the foot, and from another key of it to the first."""
    foot = pilot.app.screen.query_one("#keys").region
    does = [
        pilot.app.screen.get_style_at(foot.x + x, foot.y).meta.get("@click")
        for x in range(foot.width)
    ]
    other = next(x for x, one in enumerate(does) if one and one != does[1])
    for x, y in ((30, 8), (foot.x + other, foot.y)):
        await mouse(pilot, events.MouseDown, x, y)
        await mouse(pilot, events.MouseMove, foot.x + 9, y)
        await mouse(pilot, events.MouseUp, foot.x + 1, foot.y)


async def capitals(hands, pilot):
    await keys(hands, pilot, "D")


async def cyrillic(hands, pilot):
    await keys(hands, pilot, "в")


async def paste_on_the_row(_hands, pilot):
    pilot.app.post_message(events.Paste("row done\n \n \nyes\n"))
    await pilot.pause()


async def ctrl_z(hands, pilot):
    await keys(hands, pilot, "space", "ctrl+z")


async def escape(hands, pilot):
    await keys(hands, pilot, "escape")


SLIPS = [
    ("the space bar is held", held, 1, "space is held: it counts once"),
    ("a sleeve lies on three keys and rocks", sleeve, 1, "quick|already|Ball"),
    ("two keys are drummed", drumming, 1, "quick|too soon|in .* second"),
    ("the mouse wheel is turned", wheel, 0, "Row 1"),
    ("the mouse is clicked beside every key", click, 0, "Row 1"),
    ("a finger slides to a key of the foot", drag, 0, "Row 1"),
    ("caps lock is on", capitals, 0, "D is no key, d is: is caps lock on"),
    ("the keyboard has another layout", cyrillic, 0, "в is no key here: . shows them all"),
    ("a text is pasted on the row", paste_on_the_row, 0, "Row 1"),
    ("ctrl+z is meant to undo, where there is no shell", ctrl_z, 1, "u takes back"),
    ("escape, where nothing is asked", escape, 0, "Nothing was asked"),
]


@pytest.fixture
def hands():
    return Keyboard()


@pytest.fixture
def at_work(app_of, small_throw, hands):
    return app_of(small_throw, clock=hands, came_at=hands.came_at)


async def test_a_slip_on_the_row_does_what_the_list_says_and_is_taken_back(at_work, hands, text_of):
    async with at_work.run_test(size=(80, 24)) as pilot:
        await keys(hands, pilot, "space")  # the foundation
        row = at_work.row_screen
        at, loops = row.work.state.at, row.work.state.yarn_used
        for slip, does, rows, shown in SLIPS:
            await does(hands, pilot)
            assert row is at_work.screen, slip
            assert row.work.state.at - at <= rows, slip
            text = " ".join(text_of(at_work).split())
            assert re.search(shown, text), (slip, text)
            while row.work.state.at > at:
                before = row.work.state
                await keys(hands, pilot, "u")
                assert row.work.state != before, slip
            assert (row.work.state.at, row.work.state.yarn_used) == (at, loops), slip
            await keys(hands, pilot, "s")


async def test_a_resize_in_mid_dialog_keeps_what_was_typed(at_work, hands, text_of):
    async with at_work.run_test(size=(80, 24)) as pilot:
        await keys(hands, pilot, "space", "space", "d", "3")
        for size in ((40, 15), (20, 6), (200, 60), (80, 24)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
        assert isinstance(at_work.screen, Ask)
        await keys(hands, pilot, "enter")
        assert "loop 3" in text_of(at_work)
        assert isinstance(at_work.screen, RowScreen)


@pytest.mark.parametrize(
    ("pasted", "left"),
    [
        ("3", "3"),
        (" 3 \n", "3"),
        ("3\nrow done\n \n", "3 row done"),
        ("measured three\x1b[A", None),
    ],
)
async def test_a_paste_into_a_field_is_a_line_and_is_not_sent(at_work, hands, pasted, left):
    async with at_work.run_test(size=(80, 24)) as pilot:
        await keys(hands, pilot, "space", "space", "d")
        at = at_work.row_screen.work.state
        field = at_work.screen.query_one(Field)
        at_work.post_message(events.Paste(pasted))
        await pilot.pause()
        assert isinstance(at_work.screen, Ask)
        assert at_work.row_screen.work.state == at
        if left is not None:
            assert field.value.strip() == left


async def test_a_turn_of_the_wheel_changes_no_setting(app_of, hands):
    app = app_of(clock=hands, came_at=hands.came_at)
    async with app.run_test(size=(80, 24)) as pilot:
        await keys(hands, pilot, "g")
        assert isinstance(app.screen, SettingsScreen)
        before = [pick.value for pick in app.screen.query(Pick)]
        for y in range(3, 22, 3):
            await mouse(pilot, events.MouseScrollDown, 30, y, 0)
        assert [pick.value for pick in app.screen.query(Pick)] == before


async def test_the_leaving_key_once_too_often_leaves_and_loses_nothing(at_work, hands, store):
    async with at_work.run_test() as pilot:
        await keys(hands, pilot, "space", "q")
        assert isinstance(at_work.screen, Shelf)
        await keys(hands, pilot, "Q")
        assert at_work.is_running
        await keys(hands, pilot, "q")
    assert [event.kind for event in store.load("throw")[1]] == ["advance"]


@pytest.mark.parametrize("slip", ELSEWHERE)
def test_the_slips_that_want_a_terminal_are_tried_where_the_list_says(slip):
    path, _, test = ELSEWHERE[slip].partition("::")
    assert f"def {test}" in (ROOT / path).read_text("utf-8")
