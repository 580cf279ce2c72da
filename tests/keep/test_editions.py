"""A make keeps the script it began with, whatever becomes of its design."""

import base64
import json
import zlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.advise import newer
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.keep.store import Store
from engine.keep.verify import replay, verify
from engine.make import answers, progress
from engine.make.decisions import renew
from engine.make.making import Making
from engine.plan import written
from engine.plan.planning import begun, make_plan, read_gauge, script_for
from engine.script.audit import audit
from models.command import Action, Command
from models.event import EVENT, Advanced, MoreRows, Undone
from models.plan import Plan
from models.script import Craft, Kind, RowScript
from models.state import MakeState, Tone
from tests.designs.strategies import COMMON, EACH
from tests.keep.altered import alter, break_all, put
from tests.times import times

THROW = make_plan("throw", read_gauge("5 x 3.75"), given={"width": 40.0, "height": 32.0})
CARDIGAN = make_plan("cardigan", read_gauge("5 x 3.75"), size="S", ball_loops=200)
ADVANCE = Command(action=Action.ADVANCE)


class Maker:
    """A maker with a store, and a clock of her own."""

    def __init__(self, folder: Path, plan: Plan = THROW) -> None:
        self.main, self.now = folder / "makes.db", 1_700_000_000.0
        with Store(self.main) as store:
            store.create("mine", plan)
        self.store: Store | None = None
        self.open()

    def open(self) -> None:
        """Open it anew, as the next release would."""
        if self.store:
            self.store.close()
        store = self.store = Store(self.main)
        assert store.health == ()
        self.making = Making(*store.load("mine"), lambda events: store.append("mine", events))

    def do(self, action: Action, value: float | None = None) -> Tone:
        self.now += 3
        return self.making.do(Command(action=action, value=value), self.now).tone

    def advance(self, times: int) -> None:
        for _ in range(times):
            self.do(Action.ADVANCE)

    @property
    def state(self) -> MakeState:
        return self.making.state


def in_hand(state: MakeState) -> tuple[object, ...]:
    step = state.step
    assert step
    return (step.part, step.row, answers.say(state), state.yarn_used, state.ball_left)


def test_six_rows_of_a_throw_stay_six_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    maker = Maker(tmp_path)
    maker.advance(6)
    before, rest = in_hand(maker.state), maker.state.script.steps[6:]
    assert before[1] == 6
    alter(monkeypatch)
    maker.open()
    assert in_hand(maker.state) == before
    assert maker.state.script.steps[6:] == rest
    assert maker.store
    assert verify(maker.store, "mine").sound


def test_folding_asks_no_design(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    maker = Maker(tmp_path, CARDIGAN)
    maker.advance(5)
    maker.do(Action.MORE_ROWS, 2)
    while maker.state.step and maker.state.step.kind is not Kind.MEASURE:
        maker.advance(1)
    assert maker.state.step
    maker.do(Action.MEASURED, round((maker.state.step.target_cm or 0) * 0.9, 1))
    maker.advance(4)
    before = maker.state
    break_all(monkeypatch)
    maker.open()
    assert maker.state == before
    while maker.making.events and progress.standing(maker.making.events):
        maker.do(Action.TAKE_BACK)
    assert maker.state == progress.begin(maker.making.begun)


def test_a_newer_design_is_asked_about_and_never_slips_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    maker = Maker(tmp_path)
    maker.advance(4)
    alter(monkeypatch, after=8)
    maker.open()
    before = maker.state
    assert maker.do(Action.MORE_ROWS, 2) is Tone.ASK
    assert maker.state == before
    maker.do(Action.NO)
    assert maker.state == before
    maker.do(Action.MORE_ROWS, 2)
    assert maker.do(Action.YES) is Tone.MARK
    after = maker.state
    assert after.script.steps[:4] == tuple(
        s.model_copy(update={"rows_planned": after.script.steps[i].rows_planned})
        for i, s in enumerate(before.script.steps[:4])
    )
    assert len(after.script.steps) == len(before.script.steps) + 3
    assert audit(after.script) == []
    # From now on it is of that edition, and nothing asks any more.
    assert maker.do(Action.MORE_ROWS, 1) is Tone.MARK
    maker.do(Action.TAKE_BACK)
    assert maker.state.script == after.script
    maker.do(Action.TAKE_BACK)
    assert maker.state.script == before.script


def test_a_look_that_came_among_the_worked_rows_does_not_stand_in_the_way(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    maker = Maker(tmp_path)
    maker.advance(6)
    alter(monkeypatch, after=3)
    maker.open()
    assert newer.of(maker.state) is None  # what is to come is the same
    row = in_hand(maker.state)[:2]
    assert maker.do(Action.MORE_ROWS, 2) is Tone.MARK
    assert in_hand(maker.state)[:2] == row
    assert audit(maker.state.script) == []


def test_where_the_worked_rows_do_not_fit_the_rows_go_on_and_it_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    maker = Maker(tmp_path)
    maker.advance(6)
    wider = DESIGNS["throw"]

    def build(plan: Plan) -> RowScript:
        return wider.build(plan.model_copy(update={"counts": {"foundation": 33}}))

    put(monkeypatch, "throw", build)
    maker.open()
    found = newer.of(maker.state)
    assert found is not None
    assert not found.fits
    outcome = maker.making.do(Command(action=Action.MORE_ROWS, value=2), maker.now)
    assert "begin anew" in outcome.say
    assert not outcome.taken
    at = maker.state.at
    maker.advance(3)
    assert maker.state.at == at + 3
    assert not maker.making.renew(maker.now).taken


def test_what_is_to_come_can_be_worked_out_anew_and_that_taken_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    maker = Maker(tmp_path)
    maker.advance(4)
    before = maker.state
    assert not maker.making.renew(maker.now).taken  # there is nothing newer
    alter(monkeypatch, after=8)
    maker.open()
    assert newer.of(maker.state)
    asked = renew(maker.state, maker.now)
    assert asked.tone is Tone.ASK
    assert not asked.events
    assert maker.making.renew(maker.now).taken
    assert newer.of(maker.state) is None
    assert len(maker.state.script.steps) == len(before.script.steps) + 1
    assert in_hand(maker.state) == in_hand(before)
    maker.open()
    assert newer.of(maker.state) is None
    maker.do(Action.TAKE_BACK)
    assert maker.state.script == before.script


def test_verify_compares_with_what_was_shown() -> None:
    making = Making(THROW)
    for second in range(8):
        making.do(ADVANCE, float(second))
    assert replay(making.begun, making.events).faults == ()
    other = script_for(THROW)
    swapped = other.model_copy(
        update={"steps": other.steps[:4] + other.steps[5:6] + other.steps[4:5] + other.steps[6:]}
    )
    steps = tuple(s.model_copy(update={"number": n}) for n, s in enumerate(swapped.steps, 1))
    begun_otherwise = making.begun.model_copy(
        update={"script": written.write(swapped.model_copy(update={"steps": steps}), "0" * 12)}
    )
    assert replay(begun_otherwise, making.events).faults


# --- the kept form ------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "craft"), EACH)
def test_a_script_reads_back_as_it_was(name: str, craft: Craft) -> None:
    script = script_for(make_plan(name, read_gauge(COMMON[craft]), craft=craft))
    kept = written.read(written.write(script, "e"))
    assert (kept.edition, kept.first, kept.script) == ("e", 1, script)
    half = len(script.steps) // 2
    rest = written.read(written.write(script, "e", half))
    assert rest.first == half + 1
    assert written.joined(script, half, rest.script) == script


def test_it_is_small() -> None:
    """Figures of the bench's two cardigans; the bounds leave room for fields to come."""
    jumbo = written.write(script_for(make_plan("cardigan", read_gauge("5 x 3.75"), size="5X")), "e")
    fine = written.write(script_for(make_plan("cardigan", read_gauge("22 x 30"), size="5X")), "e")
    assert len(jumbo) < 8_000
    assert len(fine) < 24_000


def packed(data: object, version: int = 1) -> str:
    text = json.dumps({"first": 1}) + "\n" + json.dumps(data)
    return f"{version} e {base64.b64encode(zlib.compress(text.encode())).decode()}"


def unpacked(text: str) -> dict[str, object]:
    data = zlib.decompress(base64.b64decode(text.split(" ")[2])).split(b"\n")[1]
    return dict(json.loads(data))


def test_a_field_of_a_newer_release_is_refused_in_a_sentence() -> None:
    data = unpacked(written.write(script_for(THROW), "e"))
    assert written.read(packed(data)).script == script_for(THROW)
    for odd in (
        packed(data, version=2),
        packed({**data, "beads": 3}),
        packed({**data, "steps": [{**data["steps"][0], "mood": "calm"}]}),  # type: ignore[index]
        packed({**data, "craft": "tatting"}),
    ):
        with pytest.raises(Refusal, match="newer spokenrow"):
            written.read(odd)


@settings(max_examples=times(40))
@given(st.text(max_size=60) | st.binary(max_size=60).map(lambda b: f"1 e {base64.b64encode(b)!r}"))
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(Refusal):
        written.read(text)


def test_a_bomb_is_not_unpacked() -> None:
    bomb = base64.b64encode(zlib.compress(bytes(written.LARGEST + 1), 9)).decode()
    with pytest.raises(Refusal, match="longer"):
        written.read(f"1 e {bomb}")


# --- as a stranger would ------------------------------------------------------------------

MOVES = st.sampled_from(
    [
        *[(Action.ADVANCE, None)] * 6,
        (Action.TAKE_BACK, None),
        (Action.TAKE_BACK, None),
        (Action.MORE_ROWS, 1.0),
        (Action.MORE_ROWS, 2.0),
        (Action.RIP_BACK, 1.0),
        (Action.RIP_BACK, 3.0),
        (Action.MEASURED, 0.9),
        (Action.MEASURED, 1.1),
        (Action.TOO_SHORT, None),
        (Action.CHOOSE, 1.0),
        (Action.NEW_BALL, None),
        ("alter", None),
        ("today", None),
        ("renew", None),
    ]
)


@settings(max_examples=times(6), deadline=None)
@given(st.sampled_from([THROW, CARDIGAN]), st.lists(MOVES, min_size=10, max_size=60))
def test_any_order_of_moves_and_releases_keeps_the_work_and_takes_back_exactly(
    plan: Plan, moves: list[tuple[object, float | None]]
) -> None:
    making, now = Making(plan), 1_000.0
    trail = [making.state]
    patch = pytest.MonkeyPatch()
    try:
        for move, value in moves:
            now += 4
            before, count = making.state, len(making.events)
            if move == "alter":
                patch.undo()
                alter(patch, after=1 + len(moves) % 9)
            elif move == "today":
                patch.undo()
            elif move == "renew":
                making.renew(now)
            else:
                cm = None
                if move is Action.MEASURED and before.step and value:
                    done = sum(
                        s.counts_row
                        for s in before.script.steps[: before.at]
                        if s.part == before.step.part
                    )
                    cm = done / before.plan.gauge.rows_per_cm * value
                command = Command(action=Action(move), value=cm or value)
                if making.do(command, now).asks:
                    making.do(Command(action=Action.YES), now)
            for event in making.events[count:]:
                trail.append(making.state) if not isinstance(event, Undone) else trail.pop()
            assert making.state == trail[-1]
            still = min(before.at, making.state.at)
            assert [written.hands(s)[:7] for s in making.state.script.steps[:still]] == [
                written.hands(s)[:7] for s in before.script.steps[:still]
            ]
            assert audit(making.state.script) == []
        break_all(patch)
        events = [EVENT.validate_json(event.model_dump_json()) for event in making.events]
        assert progress.fold(making.begun, events) == making.state
        assert replay(making.begun, events).faults == ()
    finally:
        patch.undo()


def test_an_event_without_its_tail_is_refused_and_not_guessed() -> None:
    with pytest.raises(Refusal):
        progress.fold(begun(THROW), [MoreRows(at=1.0, lead="throw", rows=20)])
    assert progress.fold(begun(THROW), [Advanced(at=1.0, step=1)]).at == 1
