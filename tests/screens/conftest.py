import pytest

from counter.app import SpokenrowApp
from counter.demo import demo_making
from counter.work import Work
from engine.planning import make_plan, read_gauge
from engine.store import Store
from tests.ears.conftest import pulse
from tests.screens.scenes import shown

__all__ = ["pulse"]


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
        return SpokenrowApp(store, tmp_path / "settings.json", make=make, work=work, **more)

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
