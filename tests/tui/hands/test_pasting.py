"""A pattern that is pasted, picked or named, and an exported make that is taken in."""

import pytest

from counter.shared import pattern_files
from counter.tui.screens.pattern_form import PatternForm
from counter.tui.screens.pattern_source import PatternSource
from counter.tui.widgets.words import Area
from engine.keep.exchange import export_text
from engine.pattern.make import plan_from_text
from engine.plan.planning import script_for
from tests.tui.scenes import SIZES

ROWS = 400
LONG = "\n".join(
    ["Title: Long strip", "Gauge: 20 x 26", "CO 20"]
    + [f"Row {n}: {'k20' if n % 2 else 'p20'}" for n in range(1, ROWS + 1)]
    + ["BO"]
)
"""A row of 20 stitches, 400 times: no row may get lost."""


@pytest.fixture
async def source(app_of):
    app = app_of()
    async with app.run_test(size=(90, 30)) as pilot:
        app.push_screen(PatternSource())
        await pilot.pause()
        yield pilot


async def read(pilot):
    await pilot.press("ctrl+s")
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def paste(pilot, text):
    from textual import events

    pilot.app.post_message(events.Paste(text))


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
async def test_no_row_of_a_long_paste_is_lost_whatever_its_line_ends(source, store, end, text_of):
    paste(source, LONG.replace("\n", end))
    await source.pause()
    await read(source)
    form = source.app.screen
    assert isinstance(form, PatternForm)
    assert f"{ROWS} rows" in text_of(source.app)
    assert "Nothing is left over" in text_of(source.app)
    await source.press("ctrl+s")
    await source.pause()
    plan = store.load(store.names()[0])[0].plan
    rows = [step for step in script_for(plan).steps if step.counts_row]
    assert len(rows) == ROWS
    assert script_for(plan).steps == script_for(plan_from_text(LONG)).steps


async def test_what_was_not_understood_is_shown_before_it_begins(source, store, text_of):
    paste(source, "Gauge: 20 x 26\nCO 20\nRow 1: k20\nRow 2: frobnicate 20\nMind the cat.\nBO\n")
    await source.pause()
    await read(source)
    shown = " ".join(text_of(source.app).split())
    assert "1 line not understood" in shown
    assert "line 4:" in shown
    assert "frobnicate" in shown
    assert store.names() == []
    source.app.screen.query_one("#line-0").value = "\0"  # it is talk
    await source.pause()
    assert "Nothing is left over" in " ".join(text_of(source.app).split())
    source.app.screen.query_one("#line-0").value = ""
    await source.pause()
    assert "1 line not understood" in " ".join(text_of(source.app).split())


async def test_it_reads_at_every_size(source, text_of):
    paste(source, LONG)
    await source.pause()
    for width, height in SIZES:
        await source.resize_terminal(width, height)
        await source.pause(0.05)
        shown = text_of(source.app)
        assert "ctrl+s" in shown
        assert "name its file" in shown
        assert source.app.screen.query_one(Area).size.height >= 2


async def test_an_exported_make_is_taken_in(source, store, small_throw, tmp_path):
    path = tmp_path / "made.json"
    path.write_text(export_text(store, small_throw), "utf-8")
    source.app.screen.query_one("#file").value = str(path)
    await read(source)
    await source.pause()
    assert len(store.names()) == 2


async def test_a_key_that_pastes_nothing_says_what_does(source, text_of):
    await source.press("ctrl+v")
    await source.pause()
    assert "ctrl+shift+v" in text_of(source.app)
    assert source.app.screen.query_one(Area).text == ""
    source.app.copy_to_clipboard("CO 20")  # but what was copied here is pasted here
    await source.press("ctrl+v")
    assert source.app.screen.query_one(Area).text == "CO 20"


async def test_nothing_given_and_far_too_much_are_told(source, text_of):
    await read(source)
    assert "Paste a pattern, or name a file" in text_of(source.app)
    source.app.screen.query_one(Area).text = "Row 1: k20\n" * 95_000
    await read(source)
    assert "larger than" in text_of(source.app)


def test_files_are_found_where_people_keep_them_the_newest_first(tmp_path):
    home, here = tmp_path / "home", tmp_path / "here"
    for place, name, content in (
        (here, "a.txt", "x"),
        (home / "Downloads", "b.PDF", "x"),
        (home / "Documents", "made.json", '{"format": "spokenrow make"}'),
        (home / "Documents", "other.json", "{}"),
        (home / "Documents", ".hidden.txt", "x"),
        (home, "picture.png", "x"),
    ):
        place.mkdir(parents=True, exist_ok=True)
        (place / name).write_text(content, "utf-8")
    (home / "folder.txt").mkdir()
    (home / "gone.txt").symlink_to(home / "nowhere")
    names = [path.name for path in pattern_files.found(home, here)]
    assert sorted(names) == ["a.txt", "b.PDF", "made.json"]
    assert pattern_files.found(tmp_path / "no", tmp_path / "no") == []
