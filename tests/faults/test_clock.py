"""The clock jumps: back to 1970, ahead to 2100, back by an hour in mid-row."""

from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from engine.keep.store import Store
from engine.keep.verify import verify
from engine.make.conversation import ANSWER_WITHIN
from engine.make.making import Making
from models.command import Action, Command
from tests.keep.conftest import BEGAN, a_plan
from tests.times import times

TIMES = st.lists(st.floats(0, 4.2e9), min_size=3, max_size=25)


@settings(max_examples=times(15), deadline=None)
@given(TIMES)
def test_rows_do_not_hang_on_the_clock(tmp_path_factory, times: list[float]) -> None:  # type: ignore[no-untyped-def]
    data = tmp_path_factory.mktemp("clock")
    with Store(data / "makes.db") as store:
        store.create("throw", a_plan())
        making = Making(*store.load("throw"), lambda new: store.append("throw", new))
        for at in times:
            assert making.do(Command(action=Action.ADVANCE), at).taken
        assert making.state.at == len(times)
        assert making.state.elapsed >= 0
    with Store(data / "makes.db") as store:
        assert store.health == ()
        assert [event.at for event in store.load("throw")[1]] == times
        assert verify(store, "throw").sound


def test_a_question_does_not_stay_open_when_the_clock_jumps_back() -> None:
    making = Making(a_plan())
    for n in range(5):
        making.do(Command(action=Action.ADVANCE), BEGAN + n)
    assert making.do(Command(action=Action.RIP_BACK, value=2), BEGAN + 10).asks
    late = making.do(Command(action=Action.YES), BEGAN + 10 - 3600)
    assert not late.taken or making.state.at >= 5, "an hour-old question is not answered"
    making.do(Command(action=Action.RIP_BACK, value=2), BEGAN + 20)
    before = making.state.at
    making.do(Command(action=Action.YES), BEGAN + 20 + ANSWER_WITHIN / 2)
    assert making.state.at < before


def test_a_claim_does_not_hang_on_the_clock(tmp_path: Path, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr("time.time", lambda: 4.0e9)
    with Store(tmp_path / "makes.db") as first:
        first.create("throw", a_plan())
        first.open_for_writing("throw")
        monkeypatch.setattr("time.time", lambda: 10.0)
        with Store(tmp_path / "makes.db") as second:
            assert second.holder("throw") is not None
