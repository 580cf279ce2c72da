"""A make to keep: small, quick to build, and long enough to lose something of."""

from pathlib import Path

import pytest

from engine.keep.store import Store
from engine.plan.planning import make_plan, read_gauge
from models.event import Advanced, Noted
from models.plan import Plan

BEGAN = 1_700_000_000.0


def a_plan(title: str = "Porch throw") -> Plan:
    return make_plan("throw", read_gauge("5 x 3.75"), title=title, ball_loops=40)


def some_events(first: int, last: int) -> list[Advanced | Noted]:
    """Events that tell which they are."""
    return [
        Noted(at=BEGAN + n, text=f"row {n}") if n % 7 == 0 else Advanced(at=BEGAN + n, step=n)
        for n in range(first, last + 1)
    ]


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder with one make of 20 events, closed."""
    with Store(tmp_path / "makes.db") as store:
        store.create("throw", a_plan())
        for event in some_events(1, 20):
            store.append("throw", [event])
    return tmp_path
