"""Rename, copy, put away, throw out and take back; nothing of a make is lost by any of it."""

import pytest

from engine.base.refusal import Refusal
from engine.keep import restore, shelving
from engine.keep.store import Store
from engine.keep.verify import verify
from engine.make import progress
from engine.plan.planning import make_plan, read_gauge
from models.event import Advanced

DAY = 86_400.0
NOW = 1_790_000_000.0


@pytest.fixture
def store(tmp_path):
    with Store(tmp_path / "makes.db") as store:
        plan = make_plan("cowl", read_gauge("5 x 3.75"), title="Reed cowl")
        store.create("reed-cowl", plan, created=NOW)
        store.append("reed-cowl", [Advanced(at=NOW + n, step=n) for n in (1, 2, 3)])
        store.release("reed-cowl")
        yield store


def state(store, name):
    return progress.fold(*store.load(name))


def test_a_renamed_make_keeps_all_that_happened_in_it(store):
    before, events = state(store, "reed-cowl"), store.load("reed-cowl")[1]
    assert shelving.rename(store, "reed-cowl", "  Cowl for the  lock ") == "cowl-for-the-lock"
    assert store.names() == ["cowl-for-the-lock"]
    after = state(store, "cowl-for-the-lock")
    assert (after.plan.title, after.script.title) == ("Cowl for the lock",) * 2
    assert after.script.steps == before.script.steps
    assert (after.at, after.yarn_used) == (before.at, before.yarn_used)
    assert store.load("cowl-for-the-lock")[1] == events
    assert store.created("cowl-for-the-lock") == NOW
    assert verify(store, "cowl-for-the-lock").sound


def test_a_name_that_another_make_has_gets_a_number_and_an_empty_one_is_refused(store):
    shelving.another(store, "reed-cowl", "Second cowl")
    assert shelving.rename(store, "reed-cowl", "Second cowl") == "second-cowl-2"
    with pytest.raises(Refusal, match="needs a name"):
        shelving.rename(store, "second-cowl", "   ")


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Omas Jäckchen", "omas-jackchen"),
        ("Weiß", "weiss"),
        ("Chandail d\u2019été", "chandail-d-ete"),
        ("ＦＵＬＬ width", "full-width"),
        ("../../etc/passwd", "etc-passwd"),
        ("[bold]hat[/]", "bold-hat"),
        ("--help", "help"),
        ("日本の帽子", "make"),
    ],
)
def test_a_name_keeps_the_letters_of_its_title(store, title, name):
    assert shelving.rename(store, "reed-cowl", title) == name
    assert store.load(name)[0].plan.title == title


def test_another_like_it_is_not_begun_and_has_the_same_steps(store):
    name = shelving.another(store, "reed-cowl", "For my sister")
    assert state(store, name).at == 0
    assert state(store, name).script.steps == state(store, "reed-cowl").script.steps
    assert state(store, "reed-cowl").at == 3


def test_what_is_put_away_or_thrown_out_can_be_taken_back(store):
    before = store.chain("reed-cowl")
    for put, place in ((shelving.put_away, "away"), (shelving.throw_out, "out")):
        put(store, "reed-cowl", NOW)
        assert getattr(shelving.lying(store), place) == {"reed-cowl": NOW}
        shelving.take_back(store, "reed-cowl")
        assert shelving.lying(store) == shelving.Lying()
    assert store.chain("reed-cowl") == before


def test_what_was_thrown_out_is_gone_after_thirty_days_and_restore_still_knows_it(store):
    made = store.chain("reed-cowl")
    shelving.throw_out(store, "reed-cowl", NOW)
    assert shelving.days_left(NOW, NOW + 29 * DAY) == 1
    assert shelving.clear(store, NOW + 30 * DAY) == []
    assert store.names() == ["reed-cowl"]
    assert shelving.clear(store, NOW + 31 * DAY) == ["reed-cowl"]
    assert store.names() == []
    assert shelving.lying(store) == shelving.Lying()
    found = restore.states(store)
    assert [one.name for one in found] == ["reed-cowl"]
    name = restore.bring_back(store, found[0])
    assert store.chain(name).bodies == made.bodies


def test_opening_again_does_not_bring_back_what_was_removed(store, tmp_path):
    store.remove("reed-cowl")
    store.close()
    with Store(tmp_path / "makes.db") as again:
        assert again.names() == []
        assert again.health == ()


def test_a_make_open_in_another_window_stays_where_it_is(store, tmp_path):
    with Store(tmp_path / "makes.db") as other:
        other.open_for_writing("reed-cowl")
        for move in (
            lambda: shelving.put_away(store, "reed-cowl"),
            lambda: shelving.throw_out(store, "reed-cowl"),
            lambda: shelving.rename(store, "reed-cowl", "Mine"),
            lambda: store.remove("reed-cowl"),
        ):
            with pytest.raises(Refusal, match="is open in"):
                move()
    assert store.names() == ["reed-cowl"]


@pytest.mark.parametrize("content", [b"", b"{", b"[1]", b'{"away": {"x": "soon"}}', b"\xff\x00"])
def test_a_damaged_list_means_that_all_lies_on_the_shelf(store, content):
    (store.folder / "shelf.json").write_bytes(content)
    assert shelving.lying(store) == shelving.Lying()
    shelving.put_away(store, "reed-cowl", NOW)
    assert shelving.lying(store).away == {"reed-cowl": NOW}
