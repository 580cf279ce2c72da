"""The shelf and every page by word, without a key."""

from datetime import datetime

import pytest

from counter.shared.settings import Readback, Settings
from counter.sound.listening import EarsHeard
from counter.tui.host import FromEars
from counter.tui.screens.how import HowScreen
from counter.tui.screens.journal import JournalScreen
from counter.tui.screens.piece import PieceScreen
from counter.tui.screens.questions import Questions
from counter.tui.screens.settings import SettingsScreen
from counter.tui.screens.shelf import Shelf
from engine.designs import DESIGNS
from engine.words.grammar import numbers
from engine.words.phrases import phrase_book
from models.command import Context, Heard

BEGAN = 1_700_000_000.0


def _said(number):
    return next(" ".join(said) for said, value in numbers().items() if value == number)


@pytest.fixture
def says():
    """A word said to an app, as the ears would give it in its situation."""

    async def say(pilot, *phrases, reason=""):
        app = pilot.app
        for phrase in phrases:
            situation = app.situation()
            command = phrase_book("en").read(phrase, situation.context).command
            assert command is not None or reason, phrase
            if situation.possible is not None and command is not None:
                assert command.action in situation.possible, phrase
            heard = Heard(
                start_s=1.0,
                end_s=1.5,
                decided_s=1.7,
                heard=phrase,
                confidence=1.0,
                command=command,
                taken=not reason,
                reason=reason,
            )
            app.post_message(FromEars(EarsHeard(heard)))
            await pilot.pause()
            await pilot.pause()

    return say


async def test_a_make_is_begun_worked_and_put_away_by_word(app_of, says, text_of, store):
    app = app_of()
    async with app.run_test(size=(80, 24)) as pilot:
        await says(pilot, "begin a make")
        assert isinstance(app.screen, Questions)
        assert app.situation().context is Context.NUMBER
        assert "What will it be?" in text_of(app)
        await says(pilot, "ninety nine")
        assert "There is no number 99" in text_of(app)
        await says(pilot, _said(list(DESIGNS).index("cowl") + 1))
        assert "Cowl" in text_of(app)
        while not app.screen.question.yes_no:
            question = app.screen.question
            answer = "no" if question.may_be_unknown else "one" if question.options else "yes"
            await says(pilot, answer)
        assert "Begin it?" in text_of(app)
        assert app.situation().context is Context.YES_NO
        await says(pilot, "yes")
        assert app.row_screen is app.screen
        await says(pilot, "row done", "show the shelf")
        assert isinstance(app.screen, Shelf)
        (name,) = store.names()
        assert [event.kind for event in store.load(name)[1]] == ["advance"]
        await says(pilot, "choice one")
        assert app.row_screen.work.name == name


async def test_every_page_opens_and_closes_by_word(app_of, says, small_throw):
    app = app_of(small_throw)
    pages = {
        "show the journal": JournalScreen,
        "show the piece": PieceScreen,
        "show me how": HowScreen,
        "show the settings": SettingsScreen,
    }
    async with app.run_test(size=(80, 24)) as pilot:
        for phrase, page in pages.items():
            await says(pilot, phrase)
            assert isinstance(app.screen, page)
            await says(pilot, "close the page")
            assert app.screen is app.row_screen
        # From one straight to another.
        await says(pilot, "show the journal", "show the piece")
        assert isinstance(app.screen, PieceScreen)
        await says(pilot, "row done")
        assert app.screen is app.row_screen
        assert app.row_screen.work.state.at == 1


async def test_a_long_page_is_scrolled_by_word(app_of, says):
    app = app_of(demo=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await says(pilot, "show the journal", "further")
        page = app.screen.query_one("#page")
        assert page.scroll_offset.y > 0
        await says(pilot, "earlier")
        assert page.scroll_offset.y == 0


async def test_what_makes_no_sense_is_said_and_changes_nothing(app_of, says, small_throw, text_of):
    app = app_of(small_throw)
    async with app.run_test(size=(80, 24)) as pilot:
        await says(pilot, "close the page")
        assert "No page is open" in text_of(app)
        await says(pilot, "further")
        assert "nothing here to scroll" in text_of(app)
        assert app.row_screen.work.making.events == []


async def test_the_voice_is_set_by_word_and_kept(app_of, says, small_throw, text_of):
    app = app_of(small_throw)
    async with app.run_test(size=(80, 24)) as pilot:
        await says(pilot, "read everything")
        assert app.settings.readback is Readback.FULL
        assert "read out whole" in text_of(app)
        await says(pilot, "be quiet")
        assert app.settings.readback is Readback.OFF
        await says(pilot, "read aloud")
        assert app.settings.readback is Readback.FULL
        await says(pilot, "read briefly")
        assert app.settings.readback is Readback.SHORT


async def test_the_shelf_is_chosen_from_and_left_by_word(app_of, says, small_throw, text_of):
    app = app_of()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await says(pilot, "choice nine")
        assert "There is no make 9" in text_of(app)
        await says(pilot, "go on with it")
        assert app.row_screen.work.name == small_throw
        await says(pilot, "show the shelf", "stop listening")
        assert app.situation().context is Context.ASLEEP
        await says(pilot, "start listening", "leave the program")
    assert app.return_value == 0


async def test_her_notes_are_played_from_the_last_one_back(app_of, says, small_throw, text_of):
    """By word and by key; once more, while one sounds, is the one before it."""
    clock, played = [BEGAN], []
    first, second = (bytes([n, 0]) * 16_000 * n for n in (1, 3))
    app = app_of(small_throw, clock=lambda: clock[0])
    app.voice.play = lambda pcm, rate: played.append((pcm, rate)) or True
    async with app.run_test(size=(80, 24)) as pilot:
        await says(pilot, "play the note")
        assert "No note was spoken in this make yet" in text_of(app)
        for sound in (first, second):
            assert app.row_screen.work.keep_note(sound, clock[0]).taken
        await says(pilot, "play the note")
        assert played == [(second, 16_000)]
        at = datetime.fromtimestamp(BEGAN)
        assert f"Your note of {at:%d %B, %H:%M}, 3 s." in text_of(app)
        await pilot.press("full_stop")
        assert played[-1] == (first, 16_000)
        clock[0] += 10
        await says(pilot, "play the note")
        assert played[-1] == (second, 16_000)
        app.voice.play = lambda *_: False
        clock[0] += 10
        await says(pilot, "play the note")
        assert "no loudspeaker" in text_of(app)
        await says(pilot, "show the journal")
        assert "a spoken note, 3 s" in text_of(app)
        assert f"{at:%H:%M}  a spoken note, 1 s" in text_of(app)


async def test_an_unheard_word_on_the_shelf_is_said(app_of, says, small_throw, text_of):
    app = app_of()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await says(pilot, "[unk]", reason="none of the words")
        assert "✗ heard “…”: not taken (none of the words)" in text_of(app)
        await says(pilot, "[unk]", reason="none of the words")
        assert "· once more" in text_of(app)


async def test_what_is_no_answer_is_seen_each_time_and_never_read_out(app_of, says, text_of):
    """Our own voice may be what was heard: read out, it would be heard again, and so on."""
    app, aloud = app_of(), []
    app.settings = Settings(readback=Readback.FULL)
    app.voice.answer = lambda outcome, said, **_: aloud.append(said)
    async with app.run_test(size=(80, 24)) as pilot:
        await says(pilot, "begin a make")
        asked = app.screen.question
        for seen in ("not taken (none of the words)", "· once more", "· 3 times"):
            await says(pilot, "[unk]", reason="none of the words")
            assert seen in text_of(app)
            assert aloud[-1] == ""
        await says(pilot, "ninety nine")
        assert "There is no number 99" in aloud[-1]
        assert "once more" not in text_of(app)
        assert app.screen.question == asked


async def test_a_make_is_changed_midway_by_word_and_by_key(app_of, says, text_of, small_throw):
    app = app_of(small_throw)
    async with app.run_test(size=(80, 24)) as pilot:
        await says(pilot, "row done", "row done", "change the make")
        assert isinstance(app.screen, Questions)
        assert "the gauge" in text_of(app)
        height = app.screen.question.options.index("Height") + 1
        await says(pilot, _said(height), "sixty")
        assert "What is worked stays." in text_of(app)
        assert app.situation().context is Context.YES_NO
        await says(pilot, "no")
        work = app.row_screen.work
        assert [event.kind for event in work.making.events] == ["advance", "advance"]
        await pilot.press("i", *str(height), "enter", *"60 cm", "enter", "y", "enter")
        assert app.screen is app.row_screen
        assert work.making.events[-1].kind == "replanned"
        assert work.state.plan.measures["height"] == 60.0
        assert (work.state.at, work.state.script.finished_cm["height"]) != (0, 32.0)
        await pilot.press("u")
        assert work.state.plan.measures["height"] != 60.0
