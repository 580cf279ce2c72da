"""The next row is made ready while nobody waits, and is what it would have been without."""

import pytest

from counter.tui.widgets.drawn import Drawn
from counter.tui.widgets.lettering import Lettering
from tests.tui.scenes import SCENES, SIZES, played, shown


@pytest.fixture
def made(monkeypatch):
    """Every picture that became strips, by its widget."""
    pictures = []
    strips_of = Drawn._strips_of

    def counted(self, rows, size, style):
        pictures.append((type(self), rows))
        return strips_of(self, rows, size, style)

    monkeypatch.setattr(Drawn, "_strips_of", counted)
    return pictures


@pytest.mark.parametrize("size", SIZES[2:])
async def test_a_row_done_shows_letters_that_were_ready(made, tmp_path, size):
    async with played(SCENES["row"], size, tmp_path) as (app, pilot):
        await pilot.press("space")
        await pilot.pause(0.1)
        doing = app.screen.query_one("#doing", Lettering)
        coming = set(doing._ready)
        made.clear()
        await pilot.press("space")
        await pilot.pause(0.1)
        assert (doing.rows(), doing.size, doing.visual_style) in coming
        assert (Lettering, doing.rows()) not in made


@pytest.mark.parametrize("size", SIZES)
async def test_a_row_that_was_not_ready_looks_the_same(monkeypatch, tmp_path, size):
    seen = []
    for number, ready in enumerate((True, False)):
        if not ready:
            monkeypatch.setattr(Drawn, "make_ready", lambda *_: None)
        folder = tmp_path / str(number)
        folder.mkdir()
        async with played(SCENES["row"], size, folder) as (app, pilot):
            for _ in range(4):
                await pilot.press("space")
                await pilot.pause(0.05)
            await pilot.pause(0.1)
            seen.append(shown(app))
    assert seen[0] == seen[1]
