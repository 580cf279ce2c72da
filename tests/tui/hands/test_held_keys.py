"""A key that is held, or hit again at once, counts once, wherever it is held."""

import pytest
from textual import events

from counter.tui.pressing import LIFTED, Presses
from counter.tui.screens.new_make import NewMake
from counter.tui.screens.shelf import Shelf
from engine.plan.planning import make_plan, read_gauge
from models.script import Kind
from tests.tui.unhurried import unhurried, work_to

REPEATS = 12


class Keyboard:
    """Time as a keyboard sees it: a held key comes after a delay, then every 30 ms."""

    def __init__(self):
        self.now = 1_790_000_000.0

    def __call__(self):
        return self.now

    def came_at(self, _event):
        return self.now

    async def press(self, pilot, *keys, after=20.0):
        for key in keys:
            self.now += after
            await pilot.press(key)

    async def hold(self, pilot, key, delay=0.5, *, after=20.0):
        await self.press(pilot, key, after=after)
        await self.press(pilot, key, after=delay)
        for _ in range(REPEATS):
            await self.press(pilot, key, after=0.03)


@pytest.fixture
def keyboard():
    return Keyboard()


@pytest.fixture
def at_work(app_of, small_throw, keyboard):
    return app_of(small_throw, clock=keyboard, came_at=keyboard.came_at)


@pytest.mark.parametrize("key", ["space", "enter"])
async def test_a_sleeve_on_the_row_key_counts_one_row(at_work, keyboard, text_of, key):
    async with at_work.run_test() as pilot:
        for count, delay in enumerate((0.2, 0.66, 1.0)):
            await keyboard.hold(pilot, key, delay)
            assert at_work.row_screen.work.state.at == 2 * count + 1
            assert f"{key} is held: it counts once" in " ".join(text_of(at_work).split())
            # Let go and pressed again it is another row.
            await keyboard.press(pilot, key)
            assert at_work.row_screen.work.state.at == 2 * count + 2


async def test_two_keys_for_one_thing_are_one_key_to_a_sleeve(at_work, keyboard):
    async with at_work.run_test() as pilot:
        await keyboard.press(pilot, "space")
        for _ in range(10):
            await keyboard.press(pilot, "enter", "space", after=0.05)
        assert at_work.row_screen.work.state.at == 1


async def test_a_keyboard_with_a_long_delay_is_asked_before_a_second_row_counts(
    at_work, keyboard, text_of
):
    async with at_work.run_test() as pilot:
        await keyboard.press(pilot, "space", after=60)
        await keyboard.press(pilot, "space", after=60)
        await keyboard.press(pilot, "space", after=60)
        await keyboard.press(pilot, "space", after=60)
        at = at_work.row_screen.work.state.at
        # Some keyboards wait 1.8 s: the first repeat looks like a press, and is asked about.
        await keyboard.press(pilot, "space", after=60)
        await keyboard.hold(pilot, "space", after=1.8, delay=0.03)
        assert at_work.row_screen.work.state.at == at + 1
        assert "That was quick" in " ".join(text_of(at_work).split())


@pytest.mark.parametrize("key", ["u", "backspace"])
async def test_taking_back_held_takes_back_one_thing(at_work, keyboard, text_of, key):
    async with at_work.run_test() as pilot:
        await keyboard.press(pilot, "space", "space", "space")
        await keyboard.hold(pilot, key)
        assert at_work.row_screen.work.state.at == 2
        assert "Taken back: throw, row 2 done." in " ".join(text_of(at_work).split())


async def test_other_keys_held_do_their_thing_once(at_work, keyboard):
    async with at_work.run_test() as pilot:
        await keyboard.press(pilot, "space", "space")
        await keyboard.hold(pilot, "b")
        assert at_work.row_screen.work.state.balls == 2
        await keyboard.hold(pilot, "p")
        assert at_work.row_screen.work.state.paused


async def test_q_held_stops_at_the_shelf_and_does_not_leave(at_work, keyboard):
    async with at_work.run_test() as pilot:
        await keyboard.hold(pilot, "q")
        assert isinstance(at_work.screen, Shelf)
        assert at_work.return_code is None


async def test_enter_held_on_the_shelf_opens_a_make_and_works_no_row(app_of, small_throw, keyboard):
    app = app_of(clock=keyboard, came_at=keyboard.came_at)
    async with app.run_test() as pilot:
        await pilot.pause()
        await keyboard.hold(pilot, "enter")
        await pilot.pause()
        assert app.row_screen.work.state.at == 0


async def test_enter_held_in_a_dialog_answers_it_and_nothing_below(at_work, keyboard):
    async with at_work.run_test() as pilot:
        await keyboard.press(pilot, "space", "space", "d", "4")
        await keyboard.hold(pilot, "enter")
        assert at_work.row_screen.work.state.at == 2
        assert len(at_work.row_screen.work.state.marks) == 1


async def test_digits_and_arrows_may_be_repeated(at_work, keyboard, app_of):
    async with at_work.run_test() as pilot:
        await keyboard.press(pilot, "space", "space", "m")
        await pilot.pause()
        await keyboard.press(pilot, "1", "1", after=0.05)
        assert at_work.screen.query_one("Input").value == "11"
        await keyboard.press(pilot, "backspace", "backspace", after=0.03)
        assert at_work.screen.query_one("Input").value == ""
    app = app_of(clock=keyboard, came_at=keyboard.came_at)
    async with app.run_test() as pilot:
        await pilot.pause()
        await keyboard.press(pilot, "n")
        await pilot.pause()
        assert isinstance(app.screen, NewMake)
        await keyboard.press(pilot, "down", "down", "down", after=0.03)
        assert app.screen.query_one("#designs").highlighted == 3


async def test_a_double_tap_on_a_key_of_the_foot_counts_once(at_work, keyboard):
    async with at_work.run_test() as pilot:
        await pilot.pause()
        foot = at_work.row_screen.query_one("#keys").region
        for after in (20.0, 0.3, 0.3):
            keyboard.now += after
            await _tap(pilot, foot.x + 3, foot.y)
        assert at_work.row_screen.work.state.at == 1
        keyboard.now += 20
        await _tap(pilot, foot.x + 3, foot.y)
        assert at_work.row_screen.work.state.at == 2


async def _tap(pilot, x, y):
    """A tap as the terminal sends it, through the app itself."""
    for kind in (events.MouseDown, events.MouseUp):
        pilot.app.post_message(
            kind(None, x, y, 0, 0, 1, False, False, False, screen_x=x, screen_y=y)
        )
        await pilot.pause()


async def test_a_refusal_stays_to_be_read_while_the_key_is_held(app_of, store, keyboard, text_of):
    store.create("vest", make_plan("vest", read_gauge("5 x 3.75"), size="S"))
    app = app_of("vest", clock=keyboard, came_at=keyboard.came_at)
    async with app.run_test(size=(80, 24)) as pilot:
        work_to(app, Kind.MEASURE)
        await keyboard.hold(pilot, "space")
        text = " ".join(text_of(app).split())
        assert "Measure first" in text
        assert "Go on without measuring?" in text
        assert app.row_screen.work.state.step.kind is Kind.MEASURE


def test_a_press_after_the_pause_is_one_of_its_own():
    presses = Presses([("space", "enter")])
    assert not presses.again("space", 10.0)
    assert presses.again("enter", 10.0 + LIFTED - 0.01)
    assert presses.again("space", 10.0 + 2 * LIFTED - 0.03)
    assert not presses.again("space", 10.0 + 3 * LIFTED)
    # Another key between them: the first was let go.
    assert not presses.again("d", 20.0)
    assert not presses.again("e", 20.1)
    assert not presses.again("d", 20.2)
    # A clock that jumps back holds no key for ever.
    assert not presses.again("d", 5.0)


def test_the_tests_own_hands_are_no_sleeve():
    hands = unhurried(0.0)["came_at"]
    presses = Presses()
    assert not presses.again("space", hands(events.Key("space", " ")))
    assert not presses.again("space", hands(events.Key("space", " ")))
