"""What the next rows will say is made ready while she works."""

from engine.script import wording
from tests.tui.scenes import SCENES, played


async def test_after_a_move_the_next_sentences_are_prepared(tmp_path):
    async with played(SCENES["row"], (80, 24), tmp_path) as (app, pilot):
        asked = []
        app.voice.prepare = lambda texts: asked.append(list(texts))
        await pilot.press("w")
        state = app.row_screen.work.state
        coming = state.script.steps[state.at : state.at + 4]
        assert asked == [[wording.spoken(step, state.plan.craft) for step in coming]]
