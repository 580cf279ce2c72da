"""A make begun by the form, by numbers and by a written pattern, by keys alone."""

import time

import pytest
from textual.widgets import Input, Select

from counter.shared.settings import Settings, save
from counter.tui.screens.new_make import MakeForm
from counter.tui.screens.pattern_source import PatternSource
from engine.designs import DESIGNS
from engine.plan.planning import make_plan, read_gauge
from tests.tui.scenes import shown

PATTERN = """Title: Test scarf
Craft: needles
Gauge: 18 x 24
Part: scarf
CO 12 sts
Rows 1-6: Knit.
BO all sts.
"""


async def test_the_form_refuses_in_a_sentence_and_keeps_what_was_typed(app_of, store, text_of):
    app = app_of()
    async with app.run_test(size=(80, 30)) as pilot:
        await pilot.pause()
        await pilot.press("n")
        await pilot.pause()
        designs = app.screen.query_one("#designs")
        designs.highlighted = designs.get_option_index("throw")
        await pilot.press("enter")
        await pilot.pause()
        gauge = app.screen.query_one("#gauge")
        gauge.value = "five by four"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "The gauge 'five by four' is not understood" in text_of(app)
        assert gauge.value == "five by four"
        assert store.names() == []
        gauge.value = "5 x 4"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert store.names() == ["throw"]


async def test_the_form_asks_for_a_second_dye_lot_where_one_ball_does_not_do(app_of, store):
    app = app_of()
    async with app.run_test(size=(80, 40)) as pilot:
        await pilot.pause()
        app.push_screen(MakeForm("throw"))
        await pilot.pause()
        line = app.screen.query_one("#lots")
        ball = app.screen.query_one("#ball")
        for loops, asked in (("", False), ("100000", False), ("3", True), ("100", True)):
            ball.value = loops
            app.screen._look()
            await pilot.pause()
            assert line.region.height == int(asked), loops
        line.value = "seven"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "“seven” is no two dye lots" in str(app.screen.query_one("#refusal").render())
        line.value = "9 1"
        app.screen._look()
        await pilot.pause()
        assert "The second lot does not reach further" in str(
            app.screen.query_one("#both").render()
        )
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert store.load("throw")[0].plan.lots == (9, 1)


@pytest.mark.parametrize("name", DESIGNS)
async def test_every_design_can_be_begun_as_the_form_stands(name, app_of, store):
    app = app_of()
    async with app.run_test() as pilot:
        app.push_screen(MakeForm(name))
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        (made,) = store.names()
        assert store.load(made)[0].plan.design == name


async def test_another_size_fills_its_measurements_but_not_over_typed_ones(app_of, store):
    app = app_of()
    async with app.run_test() as pilot:
        app.push_screen(MakeForm("cardigan"))
        await pilot.pause()
        app.screen.query_one("#measure-cuff", Input).value = "27"
        app.screen.query_one("#size", Select).value = "2X"
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        plan = store.load(store.names()[0])[0].plan
        wanted = make_plan(
            "cardigan", read_gauge("5 x 3.75"), size="2X", given={"cuff": 27.0}, title="Cardigan"
        )
        assert plan == wanted


async def test_a_written_pattern_is_begun_from_its_file(app_of, store, text_of, tmp_path):
    (tmp_path / "scarf.txt").write_text(PATTERN)
    app = app_of()
    async with app.run_test(size=(90, 30)) as pilot:
        app.push_screen(PatternSource())
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "name a file" in text_of(app)
        for missing in (str(tmp_path / "no.txt"), "~nobody-of-this-name/no.txt"):
            app.screen.query_one("#file", Input).value = missing
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert "cannot be read" in " ".join(text_of(app).split())
        app.screen.query_one("#file", Input).value = str(tmp_path / "scarf.txt")
        await pilot.press("ctrl+s")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "Nothing is left over" in text_of(app)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert store.load(store.names()[0])[0].plan.pattern == PATTERN


async def test_the_form_takes_lengths_as_people_type_them(app_of, store, text_of):
    app = app_of()
    async with app.run_test(size=(80, 30)) as pilot:
        app.push_screen(MakeForm("cardigan"))
        await pilot.pause()
        app.screen.query_one("#measure-cuff", Input).value = '10½"'
        app.screen.query_one("#measure-bust", Input).value = "95,5"
        app.screen.query_one("#ball", Input).value = "2 balls"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "“2 balls” is not understood as a whole number" in " ".join(text_of(app).split())
        app.screen.query_one("#ball", Input).value = "260"
        await pilot.press("ctrl+s")
        await pilot.pause()
        begun, _ = store.load(store.names()[0])
        assert begun.plan.measures["cuff"] == pytest.approx(10.5 * 2.54)
        assert begun.plan.measures["bust"] == 95.5


@pytest.mark.parametrize("size", [(40, 15), (60, 20), (80, 24)])
async def test_every_label_of_a_length_has_its_unit_at_every_width(app_of, tmp_path, size, text_of):
    save(tmp_path / "settings.json", Settings(unit="in"))
    app = app_of()
    async with app.run_test(size=size) as pilot:
        app.push_screen(MakeForm("throw"))
        await pilot.pause()
        for name in ("width", "height"):
            field = app.screen.query_one(f"#measure-{name}")
            field.focus()
            await pilot.pause()
            line = text_of(app).split("\n")[field.region.y]
            assert line.rstrip(" ▁▂▃▄▅▆▇█").endswith(" in"), line


async def test_a_cardigan_is_begun_by_its_numbers(app_of, store, text_of):
    app = app_of()
    async with app.run_test(size=(90, 40)) as pilot:
        await pilot.press("n")
        await pilot.pause()
        designs = app.screen.query_one("#designs")
        designs.highlighted = designs.get_option_index("by-loops")
        await pilot.press("enter")
        await pilot.pause()
        said = {"foundation": "40", "front": "9 to 5 over 8", "bind": "4", "back": "18"}
        for name, text in said.items():
            app.screen.query_one(f"#{name}", Input).value = text
        app.screen.query_one("#title", Input).value = "from my aunt"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "2 × front + back + 2 × (bind − 1) is 42, the foundation 40" in text_of(app)
        app.screen.query_one("#foundation", Input).value = "42"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "Foundation: count 42 loops" in text_of(app)
    assert store.names() == ["from-my-aunt"]


async def until(pilot, true):
    """Waits for a screen that comes of its own time, however busy the machine is."""
    end = time.monotonic() + 20
    while not true():
        assert time.monotonic() < end, shown(pilot.app)
        await pilot.pause(0.02)


async def test_what_loops_and_rows_cannot_give_is_said_before_she_begins(app_of, text_of):
    """By hand: at 3.75 rows in 10 cm a row is 2.67 cm: for 36 cm 14 rows, and 37.3 cm."""
    app = app_of()
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(MakeForm("cardigan"))
        app.screen.query_one("#measure-body_height", Input).value = "36"
        told = "body height 37.3 cm, not 36.0 cm"
        await until(pilot, lambda: told in " ".join(text_of(app).split()))
        for width in (80, 40):
            await pilot.resize_terminal(width, 24)

            def table(width=width):
                if app.size.width != width:
                    return False
                # Laid out anew, the page may have grown: to its end once more.
                app.screen.query_one("#page").scroll_end(animate=False)
                rows = [" ".join(row.split()) for row in text_of(app).splitlines()]
                # The end of the scroll bar may stand in the same row.
                heads = any(row.startswith("you asked → you get, cm") for row in rows)
                return heads and "◆ body height 36.0 → 37.3" in rows

            await until(pilot, table)


async def test_a_new_make_takes_a_stitch_pattern_and_stripes(app_of, store, text_of):
    app = app_of()
    async with app.run_test(size=(80, 40)) as pilot:
        app.push_screen(MakeForm("scarf"), lambda _: None)
        await pilot.pause()
        app.screen.query_one("#stitch", Select).value = "garter"
        app.screen.query_one("#stripes", Input).value = "cream 8, sand"
        await pilot.press("ctrl+s")
        assert store.names() == []
        assert "sand" in text_of(app)
        app.screen.query_one("#stripes", Input).value = "cream 8, sand 4"
        await pilot.press("ctrl+s")
        (name,) = store.names()
        plan = store.load(name)[0].plan
        assert (plan.stitch, plan.stripes) == ("garter", "cream 8, sand 4")
