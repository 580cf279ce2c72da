import pytest

from counter.shared.demo import demo_making
from counter.shared.work import Work
from counter.tui.app import SpokenrowApp
from engine.keep.store import Store
from engine.plan.planning import make_plan, read_gauge
from tests.tui.scenes import shown
from tests.tui.unhurried import unhurried


@pytest.fixture
def store(tmp_path):
    store = Store(tmp_path / "makes.db")
    yield store
    store.close()


@pytest.fixture
def app_of(store, tmp_path):
    """An app on a store of the test's own; `make` is opened, or the demo make with `demo`."""

    def build(make=None, *, demo=False, **more):
        work = Work("demo", demo_making()) if demo else None
        given = {"make": make, "work": work, **unhurried(), **more}
        return SpokenrowApp(store, tmp_path / "settings.json", **given)

    return build


@pytest.fixture
def small_throw(store):
    """A throw of 5 loops, its name."""
    gauge = read_gauge("5 x 3.75")
    plan = make_plan("throw", gauge, given={"width": 10.0, "height": 20.0}, ball_loops=60)
    store.create("throw", plan)
    return "throw"


@pytest.fixture
def text_of():
    """Everything the app shows, as lines of text."""
    return shown
