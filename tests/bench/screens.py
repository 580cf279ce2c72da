"""How soon the screen answers: `python -m tests.bench.screens`.

First paint is measured from outside, in a terminal, from the start of the process. Key to paint is
measured inside the app, from the key's arrival to the bytes that a terminal would be sent: once
with the journal written to disk, by the clock, and once without, by the clock and in the
processor's own time, which other programs on the machine disturb less. Every key is a row that was
not painted before, as in an evening's work: a whole garment after the other, with the steps between
their rows. What the hands do is painted first: in a wide window the list of what is coming and the
drawing of the piece follow in the next frame, outside the figure.
"""

import asyncio
import shutil
import tempfile
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from statistics import median, quantiles

from textual.drivers.headless_driver import HeadlessDriver
from textual.pilot import Pilot

from counter.shared import memory
from counter.shared.demo import NAME, demo_making, demo_plan
from counter.shared.work import Work
from counter.tui.app import SpokenrowApp
from counter.tui.screens.row import RowScreen
from engine.keep.store import Store
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command
from models.plan import Plan
from models.script import Kind
from tests.tui.terminal import Terminal
from tests.tui.unhurried import unhurried

SIZES = ((80, 24), (120, 40), (200, 60))
_KEYS = 40
_BARE_KEYS = 200
"""Keys without the disk: one in a hundred of them is two."""
_STARTS = 5


class Glass(HeadlessDriver):
    """A terminal that takes all it is sent, and knows when the last of it came."""

    painted: tuple[float, float] = (0.0, 0.0)

    @property
    def is_headless(self) -> bool:
        """No: the app writes what it paints."""
        return False

    def flush(self) -> None:
        """A frame is sent: note the clock and the processor's time."""
        self.painted = time.perf_counter(), time.process_time()


def _makes() -> Iterator[Plan]:
    yield demo_plan()
    yield make_plan("pullover", read_gauge("5 x 3.75"), size="M")
    yield make_plan("raglan", read_gauge("6 x 5"), size="L")


async def key_to_paint(
    plan: Plan, size: tuple[int, int], folder: Path, *, keys: int = _KEYS, disk: bool = True
) -> list[tuple[float, float]]:
    """Milliseconds from each key to the painted row: by the clock, and of the processor.

    As many `keys` as are asked for, or fewer where the make is done.
    """
    store = Store(folder / "makes.db")
    store.create(NAME, Making(plan).begun)
    journal = partial(store.append, NAME) if disk else None
    memory.keep()  # as `counter.doors.app` does
    work = Work(NAME, Making(plan, journal=journal))
    app = SpokenrowApp(store, folder / "settings.json", work=work, **unhurried())
    app.driver_class = Glass
    spans = []
    async with app.run_test(headless=False, size=size) as pilot:
        row = app.row_screen
        assert row is not None
        while len(spans) < keys and not row.work.state.done:
            await _settled(pilot, app)
            if not _passed(row):
                spans.append(await _advance(app, row))
    store.close()
    return spans


async def _settled(pilot: Pilot[None], app: SpokenrowApp) -> None:
    app.screen.call_after_refresh(lambda: None)
    await pilot.pause()
    memory.tidy()  # as the app does while she works the row


def _passed(row: RowScreen) -> bool:
    """Whether the step is one that no bare key advances: it is answered here, unmeasured."""
    step = row.work.state.step
    if step is None or step.kind not in (Kind.MEASURE, Kind.FIT_CHECK):
        return False
    measures = step.kind is Kind.MEASURE
    row.do(
        Command(action=Action.MEASURED, value=step.target_cm)
        if measures
        else Command(action=Action.FITS)
    )
    return True


async def _advance(app: SpokenrowApp, row: RowScreen) -> tuple[float, float]:
    glass, before = app._driver, row.work.state.at
    assert isinstance(glass, Glass)
    began, worked = time.perf_counter(), time.process_time()
    app.simulate_key("space")
    while row.work.state.at == before or glass.painted[0] < began:
        await asyncio.sleep(0)
    painted, used = glass.painted
    return (painted - began) * 1000, (used - worked) * 1000


def _walked(size: tuple[int, int], keys: int, *, disk: bool) -> list[tuple[float, float]]:
    spans: list[tuple[float, float]] = []
    for plan in _makes():
        with tempfile.TemporaryDirectory() as folder:
            left = keys - len(spans)
            spans += asyncio.run(key_to_paint(plan, size, Path(folder), keys=left, disk=disk))
    return spans


def first_paint(folder: Path) -> list[float]:
    """Milliseconds from the start of the process to the row on the terminal."""
    store = Store(folder / "makes.db")
    making = demo_making()
    store.create(NAME, making.begun)
    store.append(NAME, making.events)
    store.close()
    spans = []
    for start in range(_STARTS):
        own = folder / str(start)
        own.mkdir()
        terminal = Terminal(own)
        began = time.perf_counter()
        terminal.start("--data", folder, "--make", NAME, "--no-ears", "--quiet")
        try:
            terminal.wait_for("Row 3, right to left", every=0.005)
            spans.append((time.perf_counter() - began) * 1000)
            terminal.press("q")
            terminal.press("q")
            terminal.wait_for("left with 0")
        finally:
            terminal.close()
    return spans


def figures() -> Iterator[tuple[str, str]]:
    """Name and figure of each measurement."""
    for size in SIZES:
        spans = [took for took, _ in _walked(size, _KEYS, disk=True)]
        worst = quantiles(spans, n=20)[-1]
        yield (
            f"key to painted row, {size[0]}x{size[1]}, written to disk first",
            f"{median(spans):.0f} ms, 95 % within {worst:.0f} ms",
        )
        took, used = zip(*_walked(size, _BARE_KEYS, disk=False), strict=True)
        yield (
            "the same without the disk",
            f"{median(took):.0f} ms, 99 % within {quantiles(took, n=100)[-1]:.0f} ms; "
            f"of the processor {median(used):.0f} ms, 99 % within {quantiles(used, n=100)[-1]:.0f}",
        )
    if shutil.which("tmux"):
        with tempfile.TemporaryDirectory() as folder:
            yield (
                "start of the process to the row on a terminal",
                f"{median(starts := first_paint(Path(folder))):.0f} ms, least {min(starts):.0f}",
            )


if __name__ == "__main__":
    for name, figure in figures():
        print(f"{name}: {figure}")
