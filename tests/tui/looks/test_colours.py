"""Contrast and colour vision, by computation; and that colour says nothing by itself."""

import pytest
from coloraide import Color

from counter.shared.settings import Look, Settings, save
from counter.shared.work import Work
from counter.tui.theme import THEMES
from tests.tui.scenes import SCENES, played, shown

ENOUGH = 7.0
"""WCAG 2.2, success criterion 1.4.6 (enhanced contrast)."""
_WORDS = ("foreground", "primary", "secondary", "accent", "warning", "error", "success")


def contrast(one, other):
    """The WCAG 2 contrast ratio, by a library of its own."""
    return Color(one).contrast(Color(other), method="wcag21")


def test_the_library_counts_as_published():
    # WCAG 2.2: black on white is 21:1; #767676 on white is the usual example just above 4.5:1.
    assert contrast("black", "white") == pytest.approx(21)
    assert contrast("#767676", "white") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("look", Look)
def test_every_colour_of_words_stands_out(look):
    theme = THEMES[look]
    for name in _WORDS:
        assert contrast(getattr(theme, name), theme.background) >= ENOUGH, name
    assert contrast(theme.variables["quiet"], theme.background) >= ENOUGH
    for part in ("block-cursor", "block-cursor-blurred"):
        pair = (theme.variables[f"{part}-foreground"], theme.variables[f"{part}-background"])
        assert contrast(*pair) >= ENOUGH, part


@pytest.mark.parametrize("sight", ["protan", "deutan", "tritan"])
@pytest.mark.parametrize("look", Look)
def test_the_instruction_stands_out_for_every_colour_vision(look, sight):
    theme = THEMES[look]
    ground = Color(theme.background).filter(sight)
    for name in ("foreground", "accent", "secondary", "error"):
        seen = Color(getattr(theme, name)).filter(sight)
        assert seen.contrast(ground, method="wcag21") >= ENOUGH, (name, sight)


def _painted(app):
    """(text, colour, ground) of everything painted that can be read."""
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            style = segment.style
            if style is None or not segment.text.strip() or not style.color or not style.bgcolor:
                continue
            pair = [style.color.get_truecolor(), style.bgcolor.get_truecolor()]
            if style.reverse:
                pair.reverse()
            yield segment.text, pair[0], pair[1]


_SCROLLBAR = set("▁▂▃▄▅▆▇█▔▏▎▍▌▋▊▉▐ ")


@pytest.mark.parametrize("look", Look)
@pytest.mark.parametrize("name", ["row-question", "measure", "help", "journal", "shelf", "form"])
async def test_what_is_painted_can_be_read(name, look, tmp_path):
    scene = SCENES[name]
    scene = type(scene)(scene.keys, scene.make, scene.empty, Settings(look=look))
    async with played(scene, (80, 30), tmp_path) as (app, _):
        for text, colour, ground in _painted(app):
            if set(text) <= _SCROLLBAR and name not in {"row-question", "measure"}:
                continue
            ratio = contrast(colour.hex, ground.hex)
            assert ratio >= ENOUGH, (text, colour.hex, ground.hex, round(ratio, 2))


async def test_without_colour_nothing_is_lost(app_of, small_throw, monkeypatch, tmp_path):
    save(tmp_path / "settings.json", Settings())
    texts = []
    for no_colour in (False, True):
        if no_colour:
            monkeypatch.setenv("NO_COLOR", "1")
        app = app_of(clock=lambda: 1_790_100_000.0)
        async with app.run_test() as pilot:
            from counter.shared.demo import demo_making

            app.open_make(Work("demo", demo_making()))
            await pilot.press("d", "4", "enter")
            await pilot.pause()
            texts.append(shown(app))
            if no_colour:
                for text, colour, _ in _painted(app):
                    assert colour.red == colour.green == colour.blue, text
    assert texts[0] == texts[1]
