import pytest
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

from counter.shared.demo import demo_making
from counter.shared.work import Work
from counter.tui.app import SpokenrowApp
from engine.keep.store import Store
from engine.plan.planning import make_plan, read_gauge
from tests.tui.scenes import shown
from tests.tui.unhurried import unhurried


@pytest.fixture(scope="package", autouse=True)
def sheets_are_parsed_once():
    """Each app parses the same style sheets, a tenth of a second: what came of one is kept.

    What decides is the text, where it stands and the variables of the theme, all in the key.
    """
    kept: dict[tuple[object, ...], list[RuleSet]] = {}
    parsed = Stylesheet._parse_rules

    def parse_rules(self, css, **where):
        key = (css, *where.values(), frozenset(self._variables.items()))
        if key not in kept:
            kept[key] = parsed(self, css, **where)
        return kept[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", parse_rules)
        yield


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
