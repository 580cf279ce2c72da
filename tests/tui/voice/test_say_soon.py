"""What the next rows will say is made ready while she works."""

from types import SimpleNamespace

from counter.cli.plain_session import Session
from counter.shared.demo import demo_making
from counter.shared.settings import Settings
from counter.shared.work import Work
from counter.sound.voice import SAID_AHEAD
from engine.make import answers
from engine.script import wording
from tests.tui.scenes import SCENES, played


async def test_after_a_move_the_next_sentences_are_prepared(tmp_path):
    async with played(SCENES["row"], (80, 24), tmp_path) as (app, pilot):
        asked = []
        app.voice.prepare = lambda texts: asked.append(list(texts))
        await pilot.press("w")
        state = app.row_screen.work.state
        coming = state.script.steps[state.at : state.at + 4]
        coming += state.script.steps[state.at - 1 : state.at]  # she may take the last one back
        told = [wording.spoken(step, state.plan.craft) for step in coming]
        assert asked == [[*told, answers.where(state)]]


def test_plain_has_them_prepared_as_well(tmp_path):
    asked = []
    session = Session(Work("demo", demo_making()), Settings(), iter(()), tmp_path / "settings")
    session.live = SimpleNamespace(
        voice=SimpleNamespace(
            answer=lambda *_, **__: None, prepare=lambda texts: asked.append(list(texts))
        )
    )
    session.take_line(" ")
    assert asked[0][0] == "Right front. Row 4, left to right: knit 4."
    assert len(asked[0]) == SAID_AHEAD + 1
