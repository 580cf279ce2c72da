"""Whatever is typed into a field that wants a number is understood, or refused as it was typed."""

import pytest
from textual import events
from textual.widgets import Input

from counter.shared.loop_lines import LOOP_LINES
from counter.shared.settings import Settings, Unit
from counter.tui.screens.ask import Ask
from counter.tui.screens.loops_form import LoopsForm
from counter.tui.screens.new_make import MakeForm
from engine.base.refusal import Refusal
from engine.words.vocabulary import words
from models.command import Action, Slot

LENGTHS = {"6,5": 6.5, "41½": 41.5, "41 1/2": 41.5, '16"': 40.64, "5'3\"": 160.02, "6.5 cm": 6.5}
"""By the definition of the inch, 2.54 cm."""
NOTHING = ["1.000", "-3", "twelve of them", "x " * 400]


def answer(form):
    """What the form says of what stands in it: a refusal, or nothing."""
    try:
        form.plan()
    except Refusal as refusal:
        return str(refusal)
    return ""


def told(app, name="refusal"):
    return str(app.screen.query_one(f"#{name}").render())


def quoted(text, said):
    """Whether a refusal has the text as it was typed, or as much of it as a line takes."""
    return text.strip()[:40] in said


async def test_every_measure_of_a_form(app_of):
    app = app_of()
    async with app.run_test(size=(100, 60)):
        form = MakeForm("cardigan")
        await app.push_screen(form)
        measures = [f for f in form.query(Input) if (f.id or "").startswith("measure-")]
        assert len(measures) > 8
        for field in measures:
            stood = field.value
            for text, cm in LENGTHS.items():
                field.value = text
                said = answer(form)
                # Understood: planned so, or out of the bounds of this measure, in cm.
                assert "understood" not in said, (field.id, text)
                if "out of bounds" in said and field.id != "measure-ease":
                    assert f"of {cm:g} cm" in said, (field.id, text)
            for text in [*NOTHING, ""]:
                field.value = text
                said = answer(form)
                assert said, (field.id, text)
                assert quoted(text, said), (field.id, text)
            field.value = stood
        ball = form.query_one("#ball", Input)
        for text in [*LENGTHS, *NOTHING]:
            ball.value = text
            assert quoted(text, answer(form)), text


async def test_every_number_of_a_list_of_loops(app_of):
    app = app_of()
    async with app.run_test(size=(100, 60)):
        form = LoopsForm()
        await app.push_screen(form)
        right = {"foundation": "42", "front": "9 to 5 over 8", "bind": "4", "back": "18"}
        for name, text in right.items():
            form.query_one(f"#{name}", Input).value = text
        assert not answer(form)
        for name, *_ in LOOP_LINES:
            field = form.query_one(f"#{name}", Input)
            for text in [*LENGTHS, *NOTHING]:
                if name == "body" and text in {'16"', "6.5 cm"}:
                    continue  # a height
                field.value = text
                assert answer(form), (name, text)
                assert quoted(text, answer(form)), (name, text)
            field.value = right.get(name, "")


@pytest.mark.parametrize("unit", Unit)
async def test_every_dialog(app_of, small_throw, unit):
    app = app_of(small_throw)
    async with app.run_test(size=(100, 40)) as pilot:
        state = app.row_screen.work.state
        for line in words():
            if line.slot is Slot.NONE or line.action is Action.NOTE:
                continue
            asked = Ask(line.action, state, Settings(unit=unit))
            given = []
            app.push_screen(asked, given.append)
            await pilot.pause()
            field = asked.query_one(Input)
            wrong = NOTHING if line.slot is Slot.LENGTH else [*NOTHING, *LENGTHS]
            for text in wrong:
                field.value = text
                asked.action_take()
                await pilot.pause()
                assert app.screen is asked, (line.action, text)
                assert quoted(text, told(app, "ask-trouble")), (line.action, text)
            field.value = "41½" if line.slot is Slot.LENGTH else "12"
            asked.action_take()
            await pilot.pause()
            assert given[0].value == pytest.approx(41.5 if line.slot is Slot.LENGTH else 12)


async def test_the_minutes_of_the_settings(app_of, small_throw):
    app = app_of(small_throw)
    async with app.run_test(size=(100, 60)) as pilot:
        await pilot.press("g")
        await pilot.pause()
        page = app.screen
        for text in [*LENGTHS, *NOTHING]:
            page.query_one("#reminder_minutes", Input).value = text
            await pilot.press("escape")
            await pilot.pause()
            assert app.screen is page, text
            said = " ".join(str(one.render()) for one in page.query("Text"))
            assert quoted(text, said), text


async def test_lines_that_are_pasted_into_a_field_are_not_cut_to_the_first(app_of):
    app = app_of()
    async with app.run_test(size=(100, 60)) as pilot:
        form = MakeForm("cardigan")
        await app.push_screen(form)
        field = form.query_one("#measure-body_height", Input)
        field.value = ""
        for text, refused in (("41\n1/2\n", False), ("36\n41\n" * 200, True)):
            field.value = ""
            field.post_message(events.Paste(text))
            await pilot.pause()
            form._look()
            assert field.value == " ".join(text.split())
            assert form.query_one("#refusal").display is refused
            assert not refused or "“36 41 36" in told(app)
