"""The maker's settings: kept, tolerant of a broken file, and taken at once."""

import json
from pathlib import Path

import pytest
from textual.widgets import Input, Select

from counter.cli.arguments import asked_by, ears_flags
from counter.commandline import main, parser
from counter.shared.settings import Asked, Look, Readback, Settings, Unit, load, save, settings_path
from counter.shared.telling import ago, as_spoken, duration, in_unit, said
from counter.sound.voice import words_of
from models.command import Action, Command
from models.script import Direction, Hand
from models.state import Reply, Tone
from tests.tui.scenes import shown
from tests.tui.voice.test_ears import heard

HOUR = 3600.0


def test_settings_come_back_as_they_were_kept(tmp_path):
    mine = Settings(unit=Unit.INCH, readback=Readback.FULL, reminder_minutes=0, large=True)
    assert save(tmp_path / "a" / "settings.json", mine) == ""
    assert load(tmp_path / "a" / "settings.json") == (mine, "")


def test_no_file_is_no_trouble(tmp_path):
    assert load(tmp_path / "none.json") == (Settings(), "")


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"unit": "ell"}', '{"reminder_minutes": -4}', '{"nonsense": 1}']
)
def test_a_broken_file_costs_the_settings_and_one_sentence(tmp_path, text):
    path = tmp_path / "settings.json"
    path.write_text(text)
    found, trouble = load(path)
    assert found == Settings()
    assert str(path) in trouble
    assert path.read_text() == text  # left for the maker to mend


def test_bytes_that_are_no_text_are_no_traceback(tmp_path):
    path = tmp_path / "settings.json"
    path.write_bytes(b"\xff\xfe\x00")
    assert load(path)[1]


def test_a_folder_that_cannot_be_written_is_a_sentence(tmp_path):
    (tmp_path / "file").write_text("")
    assert "cannot be kept" in save(tmp_path / "file" / "settings.json", Settings())


async def test_a_broken_file_does_not_stop_the_app(app_of, small_throw, tmp_path):
    (tmp_path / "settings.json").write_text("{")
    app = app_of(small_throw)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause(0.2)
        assert "are not understood" in " ".join(shown(app).split())
        await pilot.press("space")
        assert app.row_screen.work.state.at == 1


async def test_the_page_of_settings_takes_and_keeps(app_of, small_throw, tmp_path):
    app = app_of(small_throw)
    async with app.run_test(size=(80, 30)) as pilot:
        await pilot.press("g")
        await pilot.pause()
        app.screen.query_one("#unit", Select).value = Unit.INCH
        app.screen.query_one("#look", Select).value = Look.LIGHT
        app.screen.query_one("#reminder_minutes", Input).value = "soon"
        await pilot.press("escape")
        await pilot.pause()
        assert "whole number" in shown(app)
        app.screen.query_one("#reminder_minutes", Input).value = "45"
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is app.row_screen
        assert app.theme == "spokenrow-light"
        assert app.row_screen.work.making.unit_cm == pytest.approx(2.54)
    kept = json.loads((tmp_path / "settings.json").read_text())
    assert (kept["unit"], kept["look"], kept["reminder_minutes"]) == ("in", "light", 45)


async def test_a_left_handed_maker_begins_mirrored(app_of, store, tmp_path):
    save(tmp_path / "settings.json", Settings(hand=Hand.LEFT))
    app = app_of()
    async with app.run_test() as pilot:
        await pilot.pause()
        await pilot.press("space", "space")
        await pilot.pause()
        assert app.row_screen.work.state.plan.hand is Hand.LEFT
        assert app.row_screen.work.state.step.direction is Direction.LEFT_TO_RIGHT
        assert "left to right" in shown(app)


async def test_a_question_asked_by_a_word_shows_its_clock_and_runs_out(app_of, small_throw):
    now = [1000.0]
    app = app_of(small_throw, clock=lambda: now[0])
    async with app.run_test() as pilot:
        await pilot.press("space")
        now[0] += 60
        await pilot.press("space")
        app.row_screen.hear(heard("rip back one row", Action.RIP_BACK, 1))
        await pilot.pause()
        assert "Rip back 1 row" in shown(app)
        assert "8 s" in shown(app)
        now[0] += 3
        app.row_screen._tick()
        await pilot.pause()
        assert "5 s" in shown(app)
        now[0] += 60
        app.row_screen._tick()
        await pilot.pause()
        assert "No answer came" in shown(app)
        await pilot.press("y")
        await pilot.pause()
        assert app.row_screen.work.state.at == 2


async def test_a_question_asked_by_a_key_waits_for_a_key(app_of, small_throw):
    now = [1000.0]
    app = app_of(small_throw, clock=lambda: now[0])
    async with app.run_test() as pilot:
        await pilot.press("space")
        now[0] += 60
        await pilot.press("space", "r", "enter")
        await pilot.pause()
        now[0] += 3600
        app.row_screen._tick()
        await pilot.pause()
        assert "Rip back 1 row" in shown(app)
        assert " 8 s" not in shown(app)
        await pilot.press("y")
        await pilot.pause()
        assert app.row_screen.work.state.at == 1


async def test_a_rest_is_proposed_after_so_many_minutes(app_of, small_throw, tmp_path):
    save(tmp_path / "settings.json", Settings(reminder_minutes=10))
    now = [1000.0]
    app = app_of(small_throw, clock=lambda: now[0])
    async with app.run_test() as pilot:
        for _ in range(3):
            await pilot.press("space")
            now[0] += 4 * 60
            app.row_screen._tick()
            await pilot.pause()
        text = " ".join(shown(app).split())
        assert "rest and stretch" in text
        assert "ask a doctor" in text


async def test_a_night_is_not_work(app_of, store, small_throw):
    now = [1000.0]
    app = app_of(small_throw, clock=lambda: now[0])
    async with app.run_test() as pilot:
        await pilot.press("space", "space")
    now[0] += 12 * HOUR
    app = app_of(small_throw, clock=lambda: now[0])
    async with app.run_test() as pilot:
        await pilot.pause()
        assert "worked 0 min" in shown(app)
        assert "stretch" not in shown(app)


def test_lengths_are_told_in_the_makers_unit():
    assert in_unit("31 cm: work 4 more rows.", Unit.CM) == "31 cm: work 4 more rows."
    # 1 in = 2.54 cm by definition (international yard and pound agreement, 1959)
    assert in_unit("about 25.4 cm, then 5.1 cm", Unit.INCH) == "about 10 in, then 2 in"
    # 4 in are 10.16 cm: a count over 10 cm would be wrong over them.
    told = "35.56 cm: 14 rows in all at your 3.9 rows per 10 cm."
    assert in_unit(told, Unit.INCH) == "14 in: 14 rows in all at your 3.9 rows per 10 cm."
    asked = "How many loops in 10 cm?"
    assert in_unit(asked, Unit.INCH) == asked


@pytest.mark.parametrize(
    ("written", "unit", "told"),
    [
        ("60 cm is wanted.", Unit.CM, "60 centimetres is wanted."),
        ("Row 3 in the back, 2.54 cm.", Unit.INCH, "Row 3 in the back, 1 inch."),
        ("It is 5.08 cm at the hem.", Unit.INCH, "It is 2 inches at the hem."),
        (
            "Bust is between 24 and 80 in, not 3.",
            Unit.INCH,
            "Bust is between 24 and 80 inches, not 3.",
        ),
        ("How many loops in 10 cm?", Unit.INCH, "How many loops in 10 centimetres?"),
        ("What does the tape say, in in?", Unit.INCH, "What does the tape say, in inches?"),
        ("Usually -3: say yes.", Unit.CM, "Usually minus 3: say yes."),
        ("8, rib-1x1; 9, feather-and-fan", Unit.CM, "8, rib 1 by 1; 9, feather and fan"),
        ("Gauge 5.4 x 4.", Unit.CM, "Gauge 5.4 by 4."),
    ],
)
def test_a_voice_is_given_whole_words(written, unit, told):
    assert as_spoken(written, unit) == told


async def test_the_journal_leaves_the_makers_own_words_as_they_are(app_of, small_throw, tmp_path):
    save(tmp_path / "settings.json", Settings(unit=Unit.INCH))
    app = app_of(small_throw)
    async with app.run_test(size=(100, 40)) as pilot:
        note = "gave 5 cm to Ada"
        app.row_screen.do(Command(action=Action.NOTE, text=note))
        await pilot.press("j")
        await pilot.pause()
        assert f"note: {note}" in shown(app)


def test_durations_and_distances_in_time():
    assert duration(59) == "0 min"
    assert duration(2 * HOUR + 5 * 60) == "2 h 05 min"
    noon = 1_790_164_800.0
    assert ago(noon - 5, noon) == "just now"
    assert ago(noon - 300, noon) == "5 min ago"
    assert ago(noon - 26 * HOUR, noon) == "yesterday"
    assert ago(noon - 5 * 24 * HOUR, noon) == "5 days ago"


def test_what_is_read_out():
    done = Reply(taken=True, say="Row 2. Knit 5.", tone=Tone.ADVANCE)
    full = "Row 2, left to right: knit 5."
    assert words_of(done, full, Readback.OFF, asked=False) == ""
    assert words_of(done, full, Readback.SHORT, asked=False) == "Row 2. Knit 5."
    assert words_of(done, full, Readback.FULL, asked=False) == full
    where = Reply(taken=True, say="Body, row 2.", tone=Tone.ANSWER)
    assert words_of(where, full, Readback.OFF, asked=True) == "Body, row 2."


def test_a_question_names_the_word_that_agrees():
    asking = Reply(
        taken=True, say="Rip back?", tone=Tone.ASK, asks=Command(action=Action.RIP_BACK, value=1)
    )
    assert said(asking) == "Rip back? Say “yes”."
    assert said(asking, "de") == "Rip back? Say “ja”."
    assert words_of(asking, "", Readback.SHORT, asked=False) == said(asking)
    assert said(Reply(taken=True, say="Done.", tone=Tone.MARK)) == "Done."


async def test_the_ears_lines_of_the_page_are_kept(app_of, small_throw, tmp_path):
    save(tmp_path / "settings.json", Settings(microphone="Desk"))
    app = app_of(small_throw)
    async with app.run_test(size=(80, 40)) as pilot:
        await pilot.press("g")
        await pilot.pause()
        assert app.screen.query_one("#microphone", Select).value == "Desk"  # though unplugged
        app.screen.query_one("#microphone", Select).value = ""
        app.screen.query_one("#attention", Select).value = True
        app.screen.query_one("#person", Input).value = " Ines "
        await pilot.press("escape")
        await pilot.pause()
    kept, _ = load(tmp_path / "settings.json")
    assert (kept.microphone, kept.attention, kept.person) == ("", True, "Ines")


def test_the_demo_goes_by_the_makers_settings_and_keeps_nothing(tmp_path, monkeypatch):
    mine = Settings(unit=Unit.INCH, attention=True, language="ko", person="Ines")
    save(tmp_path / "settings.json", mine)
    opened = []

    def open_app(*, data, asked, voices, **_):
        opened.append((asked.over(load(settings_path(data))[0]), voices, data))
        return 0

    monkeypatch.setattr("counter.doors.app.open_app", open_app)
    for stream in ("stdin", "stdout"):
        monkeypatch.setattr(f"sys.{stream}.isatty", lambda: True)
    assert main(["--data", str(tmp_path), "demo"]) == 0
    assert main(["--data", str(tmp_path), "demo", "--hear", "--no-attention"]) == 0
    (plain, voices, folder), (heard, *_) = opened
    assert plain == mine
    assert voices == tmp_path
    assert not folder.exists()
    # The recorded voice speaks English, whatever she speaks.
    assert heard == mine.model_copy(update={"language": "en", "attention": False})


def test_what_is_asked_of_a_served_app_is_passed_on_whole():
    given = [
        *("--model", "a b", "--language", "de", "--sensitivity", "careful", "--no-attention"),
        *("--mine", "--person=-x"),
    ]
    served = parser("serve").parse_args(["serve", *given])
    app = parser("app").parse_args(["app", *ears_flags(served)])
    assert asked_by(app) == asked_by(served)
    assert app.model == served.model == Path("a b")
    assert asked_by(app) == Asked(
        language="de", sensitivity="careful", attention=False, mine=True, person="-x"
    )
