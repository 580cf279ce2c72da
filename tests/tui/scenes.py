"""The main screens, each as the keys that lead to it: for snapshots, pictures and benchmarks."""

import os
import time
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from unittest.mock import patch

from counter.shared.demo import NAME, demo_making
from counter.shared.settings import Settings, save
from counter.tui.app import SpokenrowApp
from counter.tui.screens import form
from engine.keep.store import Store
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command
from models.event import Advanced
from models.script import Kind
from tests.tui.unhurried import unhurried

SIZES = ((40, 15), (60, 20), (80, 24), (120, 40), (200, 60))
NOON = 1_790_100_000.0
"""When every scene plays, POSIX seconds: a little after the demo make was laid down."""


@dataclass(frozen=True)
class Scene:
    """How to get to a screen. With `make` the app starts there, else on the shelf."""

    keys: tuple[str, ...] = ()
    make: str | None = NAME
    empty: bool = False
    settings: Settings = field(default_factory=Settings)


SCENES = {
    "row": Scene(),
    "row-plain": Scene(keys=("space",)),
    "row-marked": Scene(keys=("d", "4", "enter")),
    "row-question": Scene(keys=("d", "4", "enter", "r", "enter")),
    "row-refused": Scene(keys=("f",)),
    "back-check": Scene(keys=(*("space",) * 7, "y")),
    "bind-off": Scene(keys=(*("space",) * 7, "y", "space")),
    "pick-up": Scene(make="pick-up"),
    "measure": Scene(make="measure"),
    "last-step": Scene(make="finish"),
    "too-long": Scene(make="measure", keys=("m", "5", "0", "enter")),
    "resting": Scene(keys=("p",)),
    "ask": Scene(keys=("d",)),
    "help": Scene(keys=("question_mark",)),
    "journal": Scene(keys=("d", "4", "enter", "j")),
    "settings": Scene(keys=("g",)),
    "settings-words": Scene(keys=("g", "tab", "tab", "enter")),
    "shelf": Scene(make=None),
    "first-run": Scene(make=None, empty=True),
    "designs": Scene(make=None, empty=True, keys=("n",)),
    "piece": Scene(keys=("v",)),
    "how": Scene(keys=("k",)),
    "form": Scene(make=None, empty=True, keys=("n", "down", "enter", "tab", "tab")),
    "measures": Scene(
        make=None, empty=True, keys=("n", "down", "enter", "tab", "enter", "tab", "tab", "tab")
    ),
    "row-light": Scene(settings=Settings(look="light")),
    "row-large": Scene(keys=("d", "4", "enter"), settings=Settings(large=True)),
    "row-inches": Scene(make="measure", settings=Settings(unit="in")),
}


def _fill(store):
    making = demo_making()
    store.create(NAME, making.begun)
    store.append(NAME, making.events)
    throw = make_plan(
        "throw", read_gauge("5 x 3.75"), given={"width": 100.0, "height": 120.0}, title="Deck throw"
    )
    store.create("deck-throw", throw)
    store.append("deck-throw", [Advanced(at=NOON - 5 * 86_400, step=1)])


def _stop_at(store, name, wanted):
    """A cardigan worked up to the first step of that kind."""
    making = demo_making()
    advance = Command(action=Action.ADVANCE)
    now = making.state.last_at
    while making.state.at:
        making.do(Command(action=Action.TAKE_BACK), now)
    while making.state.step.kind.value != wanted:
        now += 120.0
        step = making.state.step
        fits = Command(action=Action.FITS)
        taped = Command(action=Action.MEASURED, value=step.target_cm)
        wants = {Kind.FIT_CHECK: fits, Kind.MEASURE: taped}
        assert making.do(wants.get(step.kind, advance), now).taken
    store.create(name, making.begun)
    store.append(name, making.events)


@asynccontextmanager
async def played(scene, size, folder):
    """The app at that scene, and its pilot."""
    os.environ["TZ"] = "UTC"  # the journal tells the time of day
    time.tzset()
    store = Store(folder / "makes.db")
    if not scene.empty and not store.names():
        _fill(store)
        if scene.make in {"pick-up", "measure", "finish"}:
            _stop_at(store, scene.make, scene.make.replace("-", " "))
    config = folder / "settings.json"
    save(config, scene.settings)
    app = SpokenrowApp(store, config, make=scene.make, **unhurried(NOON))
    # What a form comes to is worked out when she pauses: here at once, or it would be between any
    # two keys, by how busy the machine is.
    with patch.object(form, "_WAIT_S", 0.001):
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            for key in scene.keys:
                await pilot.press(key)
                await pilot.pause(0.06)
            await pilot.pause(0.1)
            yield app, pilot
    store.close()


def shown(app):
    """Everything on the screen, as lines without their trailing spaces."""
    strips = app.screen._compositor.render_strips()
    return "\n".join(strip.text.rstrip() for strip in strips) + "\n"
