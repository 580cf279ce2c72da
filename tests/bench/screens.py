"""How soon the screen answers: `python -m tests.bench.screens`.

First paint is measured from outside, in a terminal, from the start of the process; key to paint
inside the app, from the key's arrival to the screen that shows the next row: once with the journal
written to disk, by the clock, and once without, by the clock and in the processor's own time, which
other programs on the machine disturb less. What the hands do is painted first: in a wide window the
list of what is coming and the drawing of the piece follow in the next frame, outside the figure.
"""

import asyncio
import gc
import shutil
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median, quantiles

from counter.shared.demo import NAME, demo_making
from counter.shared.work import Work
from counter.tui.app import SpokenrowApp
from engine.keep.store import Store
from tests.tui.terminal import Terminal
from tests.tui.unhurried import unhurried

SIZES = ((80, 24), (120, 40), (200, 60))
_KEYS = 40
_BARE_KEYS = 200
"""Keys without the disk: one in a hundred of them is two."""
_STARTS = 5


def _store(folder: Path) -> Store:
    store = Store(folder / "makes.db")
    making = demo_making()
    store.create(NAME, making.begun)
    store.append(NAME, making.events)
    return store


async def key_to_paint(
    size: tuple[int, int], folder: Path, *, keys: int = _KEYS, disk: bool = True
) -> list[tuple[float, float]]:
    """Milliseconds from each key to the painted row: by the clock, and of the processor."""
    store = _store(folder)
    on = {"make": NAME} if disk else {"work": Work(NAME, demo_making())}
    gc.freeze()  # as `counter.doors.app` does
    app = SpokenrowApp(store, folder / "settings.json", **on, **unhurried())
    spans = []
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        for key in ["space", "u"] * (keys // 2):
            painted = asyncio.Event()
            app.screen.call_after_refresh(lambda: None)
            await pilot.pause()
            began, worked = time.perf_counter(), time.process_time()
            before = app.row_screen.work.state.at
            app.simulate_key(key)
            while app.row_screen.work.state.at == before:
                await asyncio.sleep(0)
            app.screen.call_after_refresh(painted.set)
            await painted.wait()
            took, used = time.perf_counter() - began, time.process_time() - worked
            spans.append((took * 1000, used * 1000))
    store.close()
    return spans


def first_paint(folder: Path) -> list[float]:
    """Milliseconds from the start of the process to the row on the terminal."""
    _store(folder).close()
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
        with tempfile.TemporaryDirectory() as folder:
            spans = [took for took, _ in asyncio.run(key_to_paint(size, Path(folder)))]
        worst = quantiles(spans, n=20)[-1]
        yield (
            f"key to painted row, {size[0]}x{size[1]}, written to disk first",
            f"{median(spans):.0f} ms, 95 % within {worst:.0f} ms",
        )
        with tempfile.TemporaryDirectory() as folder:
            both = asyncio.run(key_to_paint(size, Path(folder), keys=_BARE_KEYS, disk=False))
        took, used = zip(*both, strict=True)
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
