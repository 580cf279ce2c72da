"""Out as open JSON and in again, and nothing that is not a sound make gets in."""

import copy
import json
import time
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from counter.cli.commands.export import schema_text
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.keep import exchange
from engine.keep.exchange import LARGEST, check_plan, export_text, import_text, read_file
from engine.keep.store import Store
from engine.make import progress
from engine.make.making import Making
from engine.plan.planning import begun, make_plan, read_gauge, script_for, usual_gauge
from engine.script.audit import audit
from models.command import Action, Command
from models.event import Advanced, Event, Undone
from tests.keep.conftest import BEGAN, a_plan
from tests.times import times

PUBLISHED = Path(__file__).parents[2] / "models" / "make.schema.json"


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A make with something of everything in it."""
    with Store(tmp_path_factory.mktemp("from") / "makes.db") as store:
        store.create("throw", a_plan())
        making = Making(*store.load("throw"), lambda new: store.append("throw", new))
        for n, (action, value, text) in enumerate(
            [
                *[(Action.ADVANCE, None, None)] * 5,
                (Action.DROPPED, 3, None),
                (Action.REPAIRED, None, None),
                (Action.NOTE, None, "tail “left” – ½\n2"),
                (Action.NEW_BALL, 25, None),
                (Action.MORE_ROWS, 3, None),
                (Action.ADVANCE, None, None),
                (Action.TAKE_BACK, None, None),
                (Action.RIP_BACK, 2, None),
                (Action.YES, None, None),
                (Action.PAUSE, None, None),
            ]
        ):
            command = Command(action=action, value=value, text=text)
            making.do(command, BEGAN + n)
        return export_text(store, "throw")


@pytest.fixture
def empty(tmp_path: Path) -> Store:
    with Store(tmp_path / "makes.db") as store:
        yield store


def changed(text: str, *path: Any, to: Any) -> str:
    data = json.loads(text)
    at = data
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = to
    return json.dumps(data)


def test_what_goes_out_comes_in_the_same(exported: str, empty: Store) -> None:
    name = import_text(empty, exported)
    assert name == "throw"
    assert export_text(empty, name) == exported
    state = progress.fold(*empty.load(name))
    assert state.paused
    assert state.notes[0].text == "tail “left” – ½␊2"


def test_it_gets_a_free_name_or_the_one_that_is_given(exported: str, empty: Store) -> None:
    assert [import_text(empty, exported) for _ in range(3)] == ["throw", "throw-2", "throw-3"]
    assert import_text(empty, exported, "gift") == "gift"
    with pytest.raises(Refusal, match="already called"):
        import_text(empty, exported, "gift")


# --- the published schema; https://json-schema.org/draft/2020-12 through jsonschema ------------


def test_the_published_schema_is_todays() -> None:
    # as JSON, since an older pydantic writes 0.0 where a newer one writes 0
    assert json.loads(PUBLISHED.read_text(encoding="utf-8")) == json.loads(schema_text()), (
        "publish it anew: spokenrow export --schema > models/make.schema.json"
    )


def test_an_export_holds_to_the_published_schema(exported: str) -> None:
    schema = json.loads(PUBLISHED.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    check = jsonschema.Draft202012Validator(schema)
    check.validate(json.loads(exported))
    check.validate(json.loads(changed(exported, "plan", "washed", to="cold")))
    for wrong in (
        changed(exported, "format", to="else"),
        changed(exported, "version", to=2),
        changed(exported, "plan", to={}),
        changed(exported, "events", 0, "step", to="one"),
    ):
        assert not check.is_valid(json.loads(wrong))


# --- other writers -----------------------------------------------------------------------------


def test_unknown_fields_are_kept_where_they_were(exported: str, empty: Store) -> None:
    text = changed(exported, "made_for", to={"who": "a neighbour", "when": [2031, 5]})
    text = changed(text, "plan", "gauge", "swatch_cm", to=12.5)
    text = changed(text, "events", 3, "place", to="train")
    name = import_text(empty, text)
    making = Making(*empty.load(name), lambda new: empty.append(name, new))
    making.do(Command(action=Action.RESUME), time.time())
    out = json.loads(export_text(empty, name))
    assert out["made_for"] == {"who": "a neighbour", "when": [2031, 5]}
    assert out["plan"]["gauge"]["swatch_cm"] == 12.5
    assert out["events"][3]["place"] == "train"
    assert len(out["events"]) == len(json.loads(exported)["events"]) + 1


def test_a_newer_version_is_refused_politely(exported: str, empty: Store) -> None:
    with pytest.raises(Refusal, match="newest spokenrow and import it again"):
        import_text(empty, changed(exported, "version", to=2))
    with pytest.raises(Refusal, match="not known here"):
        import_text(empty, changed(exported, "events", 0, "kind", to="blocked"))


# --- bad input -----------------------------------------------------------------------------------

BAD = {
    "nothing": "",
    "not JSON": "once upon a time",
    "a list": "[]",
    "another format": '{"format": "else", "version": 1}',
    "deep": "[" * 100_000,
    "deep objects": '{"a":' * 100_000,
    "a number that is none": '{"format": "spokenrow make", "version": NaN}',
    "twice": '{"format": "spokenrow make", "format": "spokenrow make"}',
    "no plan": '{"format": "spokenrow make", "version": 1, "name": "x", "created": 0}',
    "a huge number": '{"format": "spokenrow make", "version": ' + "9" * 5000 + "}",
}


@pytest.mark.parametrize("text", BAD.values(), ids=BAD.keys())
def test_what_is_no_make_is_refused(text: str, empty: Store) -> None:
    with pytest.raises(Refusal) as refused:
        import_text(empty, text)
    assert "\n" not in str(refused.value)
    assert empty.names() == []


@pytest.mark.parametrize(
    ("path", "to"),
    [
        (("version",), 0),
        (("version",), "1"),
        (("name",), ""),
        (("name",), "x" * 81),
        (("name",), "\ud800"),
        (("created",), 1e999),
        (("plan", "design"), "../../etc/passwd"),
        (("plan", "design"), "spaceship"),
        (("plan", "measures", "width"), 1e12),
        (("plan", "measures", "width"), -1),
        (("plan", "rows", "throw"), 10**9),
        (("plan", "rows", "throw"), -3),
        (("plan", "counts", "foundation"), 10**9),
        (("plan", "gauge", "loops_per_10cm"), 0),
        (("plan", "ball_loops"), -1),
        (("plan", "scale"), 0),
        (("events",), {"0": 1}),
        (("events", 0), 3),
        (("events", 0, "step"), 2),
        (("events", 0, "at"), None),
        (("events", 5, "step"), 10**9),
        (("events", 5, "step"), -7),
        (("events", 6, "mark"), 9),
        (("events", 7, "text"), "\ud800"),
        (("events", 8, "loops"), -5),
        (("events", 9, "rows"), 10**9),
        (("events", 12, "to_step"), -1),
        (("events", 12, "to_step"), 99),
    ],
)
def test_a_make_that_cannot_be_is_refused(
    path: tuple[Any, ...], to: Any, exported: str, empty: Store
) -> None:
    with pytest.raises(Refusal) as refused:
        import_text(empty, changed(exported, *path, to=to))
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 600
    assert empty.names() == []


def test_too_many_events_are_refused_before_any_is_worked(
    exported: str, empty: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(exchange, "MOST_EVENTS", 2_000)
    event = {"kind": "pause", "at": 0.0}
    with pytest.raises(Refusal, match="at most 2000 can"):
        import_text(empty, changed(exported, "events", to=[event] * 2_001))


def test_a_file_has_a_largest_size(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(exchange, "LARGEST", 2**20)
    huge = tmp_path / "huge.json"
    with huge.open("wb") as file:
        file.truncate(LARGEST * 1000)  # sparse: nothing of it is read beyond the bound
    with pytest.raises(Refusal, match="larger than 1 MB"):
        read_file(huge)
    for wrong, why in ((tmp_path, "directory"), (tmp_path / "gone", "No such file")):
        with pytest.raises(Refusal, match=why):
            read_file(wrong)
    (tmp_path / "latin").write_bytes("½".encode("latin-1"))
    with pytest.raises(Refusal, match="UTF-8"):
        read_file(tmp_path / "latin")


# --- fuzzed: any mutation of a good file is refused in a sentence or comes in whole ------------

SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(["advance", "undo", "rip back", "measured", "throw", "body", "cardigan"]),
)
JSON = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)


def places(data: Any, here: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    keys = data if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else ()
    return [here] + [place for key in keys for place in places(data[key], (*here, key))]


def mutate(text: str, draw: Any) -> str:
    """One to three places of a good file changed, doubled, dropped or cut."""
    data = json.loads(text)
    for _ in range(draw(st.integers(1, 3))):
        place = draw(st.sampled_from([p for p in places(data) if p]))
        at = data
        for key in place[:-1]:
            at = at[key]
        match draw(st.sampled_from(["set", "drop", "double", "more"])):
            case "set":
                at[place[-1]] = draw(JSON)
            case "drop":
                del at[place[-1]]
            case "double" if isinstance(at, list):
                at.insert(place[-1], copy.deepcopy(at[place[-1]]))
            case _ if isinstance(at, dict):
                at[draw(st.text(max_size=6))] = draw(JSON)
    made = json.dumps(data)
    return made[: draw(st.integers(0, len(made)))] if draw(st.integers(0, 9)) == 0 else made


@settings(
    max_examples=times(60),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_any_mutation_is_refused_or_comes_in_whole(
    exported: str, empty: Store, data: st.DataObject
) -> None:
    before = empty.names()
    said, name = "", ""
    try:
        name = import_text(empty, mutate(exported, data.draw))
    except Refusal as refusal:
        said = str(refusal)
    assert "\n" not in said
    if not name:
        assert empty.names() == before
    else:
        plan, events = empty.load(name)
        state = progress.fold(plan, events)
        assert 0 <= state.at <= len(state.script.steps)
        again = import_text(empty, export_text(empty, name))
        assert empty.load(again) == (plan, events)


# --- every design's plan, with numbers that nobody measures ------------------------------------

NUMBERS = st.one_of(
    st.sampled_from([0, 1, 2, -1, 0.001, 3, 7, 50, 399, 400, 5000]),
    st.floats(0, 400),
    st.integers(0, 5000),
)


@settings(max_examples=times(50), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(sorted(DESIGNS)), st.data())
def test_any_plan_is_refused_or_works_out(name: str, data: st.DataObject) -> None:
    chosen = DESIGNS[name]
    plan = make_plan(name, read_gauge(usual_gauge(name)), size=chosen.usual)
    specs = {spec.name: spec for spec in chosen.info.measures}
    parts = script_for(plan).parts if not plan.pattern else ()
    counts = ["foundation", *parts, *specs]
    measures = dict(plan.measures)
    for key in data.draw(st.sets(st.sampled_from([*specs, "elsewhere"]), max_size=3)):
        measures[key] = data.draw(NUMBERS)
    odd = plan.model_copy(
        update={
            "measures": measures,
            "rows": data.draw(
                st.dictionaries(st.sampled_from(counts), NUMBERS.map(int), max_size=2)
            ),
            "counts": data.draw(
                st.dictionaries(st.sampled_from(counts), NUMBERS.map(int), max_size=2)
            ),
            "scale": data.draw(st.sampled_from([1.0, 0.5, 0.01])),
        }
    )
    said = ""
    try:
        check_plan(odd)
        script = script_for(odd)
    except Refusal as refusal:
        said = str(refusal)
    else:
        assert audit(script) == []
    assert "\n" not in said


def test_whatever_was_exported_comes_in_however_long(tmp_path: Path) -> None:
    """With SPOKENROW_TIMES=20 sixty thousand events, more than a maker comes to."""
    begun_so = begun(a_plan())
    events: list[Event] = [Advanced(at=BEGAN, step=1)]
    for n in range(times(1_505)):
        events += [Advanced(at=BEGAN + n, step=2), Undone(at=BEGAN + n)]
    with Store(tmp_path / "makes.db") as store:
        store.create("long", begun_so, events)
        text = export_text(store, "long")
        again = import_text(store, text)
        assert store.load(again) == (begun_so, events)


def test_a_number_of_thousands_of_digits_is_refused_in_our_words(empty: Store) -> None:
    long = f'{{"format": "spokenrow make", "created": {"9" * 6000}}}'
    with pytest.raises(Refusal, match="too many digits"):
        import_text(empty, long)
