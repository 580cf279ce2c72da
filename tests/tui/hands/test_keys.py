"""A make moved by keys alone, under Textual's pilot."""

import pytest

from counter.shared.settings import Settings, save
from counter.tui.screens.ask import Ask
from counter.tui.screens.piece import PieceScreen
from counter.tui.widgets.tap import Tap
from engine.advise import choices
from engine.plan.planning import make_plan, read_gauge
from engine.words.vocabulary import PAGES, word, words
from models.command import Action, Command
from models.script import Kind
from tests.tui.unhurried import work_to


async def test_a_throw_is_begun_worked_and_found_again(app_of, store, text_of):
    app = app_of()
    async with app.run_test(size=(80, 30)) as pilot:
        await pilot.pause()
        assert "the practice piece" in text_of(app)
        await pilot.press("n")
        await pilot.pause()
        designs = app.screen.query_one("#designs")
        designs.highlighted = designs.get_option_index("throw")
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "COUNT" not in text_of(app)  # lettering, not text
        assert "Foundation: count 50 loops" in text_of(app)
        await pilot.press("space")
        await pilot.press("space")
        await pilot.pause()
        assert "Row 2, left to right: knit 50." in text_of(app)
        await pilot.press("q")
        await pilot.pause()
        assert "next: throw. Row 2" in text_of(app)
    _, events = store.load("throw")
    assert [event.kind for event in events] == ["advance", "advance"]


async def test_what_was_shown_was_written(app_of, store, small_throw):
    app = app_of(small_throw)
    async with app.run_test() as pilot:
        for count in range(1, 4):
            await pilot.press("space")
            await pilot.pause()
            assert app.row_screen.work.state.at == count
            assert len(store.load(small_throw)[1]) == count


async def test_a_dropped_loop_stays_in_sight_until_it_is_repaired(app_of, small_throw, text_of):
    app = app_of(small_throw)
    async with app.run_test() as pilot:
        await pilot.press("space", "space", "d")
        await pilot.pause()
        await pilot.press("4", "enter")
        await pilot.pause()
        assert "1 open mark" in text_of(app)
        assert "loop 4" in text_of(app)
        await pilot.press("e")
        await pilot.pause()
        assert "open mark" not in text_of(app)


async def test_ripping_back_waits_for_a_yes(app_of, small_throw, text_of):
    app = app_of(small_throw)
    async with app.run_test() as pilot:
        await pilot.press("space", "space", "space", "r")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        state = app.row_screen.work.state
        assert "Rip back 1 row" in text_of(app)
        assert state.at == 3
        await pilot.press("n")
        await pilot.pause()
        assert app.row_screen.work.state.at == 3
        await pilot.press("r")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("y")
        await pilot.pause()
        assert app.row_screen.work.state.at == 2
        await pilot.press("u")
        await pilot.pause()
        assert app.row_screen.work.state.at == 3


async def test_a_refusal_is_shown_and_changes_nothing(app_of, small_throw, text_of):
    app = app_of(small_throw)
    async with app.run_test() as pilot:
        await pilot.press("space")
        before = app.row_screen.work.state
        await pilot.press("f")
        await pilot.pause()
        assert "not done" in text_of(app)
        assert "nothing to try on" in text_of(app)
        assert app.row_screen.work.state == before


async def test_a_journal_that_cannot_be_written_is_one_sentence_and_no_move(
    app_of, store, small_throw, text_of
):
    app = app_of(small_throw)
    async with app.run_test() as pilot:
        await pilot.press("space")
        await pilot.pause()
        store.close()
        await pilot.press("space")
        await pilot.pause()
        assert app.row_screen.work.state.at == 1
        assert "could not be written down" in " ".join(text_of(app).split())


async def test_help_is_the_table(app_of, small_throw):
    app = app_of(small_throw)
    async with app.run_test(size=(80, 100)) as pilot:
        await pilot.press("question_mark")
        await pilot.pause()
        shown = "\n".join(str(line.content) for line in app.screen.query("Static"))
        for line in words():
            assert line.meaning[1:] in shown
        assert "“take back”" in shown
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is app.row_screen


def test_no_page_shares_a_key_with_a_command_on_the_row_screen():
    commands = {key for line in words() for key in line.keys}
    beside_a_row = [line for line in PAGES if line.page.value in {"shelf", "journal", "settings"}]
    assert not commands & {key for line in beside_a_row for key in line.keys}


async def test_one_key_rests_the_work_and_takes_it_up_again(app_of, small_throw):
    (key,) = word(Action.PAUSE).keys
    app = app_of(small_throw)
    async with app.run_test() as pilot:
        await pilot.press("space", key)
        await pilot.pause()
        assert app.row_screen.work.state.paused
        await pilot.press(key)
        await pilot.pause()
        assert not app.row_screen.work.state.paused


async def test_the_first_run_teaches_on_a_practice_piece(app_of, store, text_of):
    app = app_of()
    async with app.run_test() as pilot:
        await pilot.pause()
        await pilot.press("space")
        await pilot.pause()
        (name,) = store.names()
        assert app.row_screen.work.name == name
        for _ in range(60):
            if app.row_screen.work.state.done:
                break
            fitting = app.row_screen.work.state.step.kind is Kind.FIT_CHECK
            await pilot.press("f" if fitting else "space")
            await pilot.pause()
        assert "You made it." in text_of(app)
        await pilot.press("q")
        await pilot.pause()
        assert "✓ done" in text_of(app)


async def test_a_fit_check_that_fails_offers_its_choices_by_number(app_of, store, text_of):
    plan = make_plan("cardigan", read_gauge("5 x 3.75"), size="S")
    store.create("cardigan", plan)
    app = app_of("cardigan")
    async with app.run_test(size=(100, 40)) as pilot:
        work_to(app, Kind.FIT_CHECK)
        await pilot.press("t")
        await pilot.pause()
        await pilot.press("c")
        await pilot.pause()
        assert "Which choice?" in text_of(app)
        there = choices.of(app.row_screen.work.state)
        for choice in there:
            assert choice.does.lower() in " ".join(text_of(app).split()).lower()
        await pilot.press(*"2", "backspace", "backspace", "1", "enter")
        await pilot.pause()
        assert "Which choice?" not in text_of(app)


async def test_the_palette_finds_an_action_by_its_word(app_of, small_throw, text_of):
    app = app_of(small_throw)
    async with app.run_test() as pilot:
        await pilot.press("space", "ctrl+p")
        await pilot.pause()
        await pilot.press(*"take back")
        await pilot.pause(0.5)
        await pilot.press("enter")
        await pilot.pause(0.3)
        if app.screen is not app.row_screen:
            await pilot.press("enter")
            await pilot.pause(0.3)
        assert app.row_screen.work.state.at == 0


async def test_inches_are_shown_and_measured_in_inches(
    app_of, store, small_throw, text_of, tmp_path
):
    save(tmp_path / "settings.json", Settings(unit="in"))
    app = app_of(small_throw)
    async with app.run_test() as pilot:
        work_to(app, Kind.MEASURE)
        await pilot.pause()
        assert "7.75 in is wanted" in text_of(app)  # 20 cm, to the nearest quarter
        await pilot.press("m")
        await pilot.pause()
        await pilot.press("8", "enter")
        await pilot.pause()
    measured = [event for event in store.load(small_throw)[1] if event.kind == "measured"]
    assert [event.cm for event in measured] == [pytest.approx(8 * 2.54)]


async def test_a_length_is_typed_with_a_comma_a_fraction_or_a_unit(app_of, store, text_of):
    plan = make_plan("throw", read_gauge("5 x 3.75"), given={"width": 10.0, "height": 20.0})
    store.create("long", plan)
    app = app_of("long")
    async with app.run_test() as pilot:
        work_to(app, Kind.MEASURE)
        making = app.row_screen.work.making
        for typed, cm in (("19,5", 19.5), ("19 1/2", 19.5), ("19½", 19.5), ('7 1/2"', 19.05)):
            await pilot.press("m")
            await pilot.pause()
            app.screen.query_one("Input").value = typed
            await pilot.press("enter")
            await pilot.pause()
            assert making.events[-1].cm == pytest.approx(cm)
            making.do(Command(action=Action.TAKE_BACK), app.clock())


async def test_what_is_no_length_is_refused_as_typed_and_the_dialog_stays(
    app_of, small_throw, text_of
):
    app = app_of(small_throw)
    async with app.run_test() as pilot:
        work_to(app, Kind.MEASURE)
        await pilot.press("m", *"1", "comma", *"234", "enter")
        await pilot.pause()
        assert "1,234 could be 1.234 or 1234" in " ".join(text_of(app).split())
        assert app.screen.query_one("Input").value == "1,234"
        await pilot.press("escape", "r")
        await pilot.pause()
        app.screen.query_one("Input").value = "1,5"
        await pilot.press("enter")
        await pilot.pause()
        assert "“1,5” is not understood as a whole number" in " ".join(text_of(app).split())


async def test_a_tap_on_a_line_of_the_help_is_its_key(app_of, small_throw):
    app = app_of(small_throw)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("question_mark")
        lines = {line.content.plain: line for line in app.screen.query(Tap)}
        dropped = next(line for told, line in lines.items() if told.startswith(" d "))
        app.screen.query_one("#page").scroll_to_widget(dropped, animate=False)
        await pilot.pause()
        await pilot.click(dropped)
        assert isinstance(app.screen, Ask)
        await pilot.press("escape", "question_mark")
        piece = next(one for one in app.screen.query(Tap) if one.content.plain.startswith(" v "))
        app.screen.query_one("#page").scroll_to_widget(piece, animate=False)
        await pilot.pause()
        await pilot.click(piece)
        assert isinstance(app.screen, PieceScreen)


async def test_the_sums_of_shaping_are_a_page(app_of, text_of):
    """By hand: a crown of 96 in 8 wedges has 12 loops in each."""
    app = app_of()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("slash", *"crown 96 in 8 wedges", "enter")
        assert "8 wedges of 12 loops" in text_of(app)
        await pilot.press(*"x", "enter")
        assert "is not understood" in text_of(app)
        await pilot.press("escape")
        assert "not understood" not in text_of(app)
