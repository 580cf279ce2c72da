"""How long the work itself takes: building a script, proving it, replaying a journal."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from counter.shared.demo import demo_making
from engine.designs import design
from engine.keep.store import Store
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script.audit import audit
from models.command import Action, Command

FINE = read_gauge("22 x 30")
"""A fine needle gauge: hundreds of loops in hundreds of rows."""
JUMBO = read_gauge("5 x 3.75")


def timed(work: Callable[[], object], times: int = 15) -> float:
    """Median milliseconds of `work`."""
    spans = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        spans.append((time.perf_counter() - began) * 1000)
    return median(spans)


def least_used(work: Callable[[], object], times: int = 15) -> float:
    """Least milliseconds of the processor's own time, which other programs disturb less."""
    spans = []
    for _ in range(times):
        began = time.process_time()
        work()
        spans.append((time.process_time() - began) * 1000)
    return min(spans)


def figures() -> Iterator[tuple[str, str]]:
    """Name and figure of each measurement."""
    jumbo = make_plan("cardigan", JUMBO, size="5X")
    fine = make_plan("cardigan", FINE, size="5X")
    script, big = script_for(jumbo), script_for(fine)
    yield (
        f"script, cardigan 5X at 5 x 3.75 ({len(script.steps)} steps), built and proven",
        # not `script_for`, which keeps what it has proven
        f"{timed(lambda: audit(design('cardigan').build(jumbo))):.1f} ms",
    )
    yield (
        f"script, cardigan 5X at 22 x 30 ({len(big.steps)} steps, {big.yarn_loops} loops), built",
        f"{timed(lambda: design('cardigan').build(fine), 5):.0f} ms",
    )
    yield "the same, proven loop by loop", f"{timed(lambda: audit(big), 5):.0f} ms"

    making = demo_making()
    events = making.events * 1
    yield (
        f"replay of the demo journal ({len(events)} events)",
        f"{timed(lambda: Making(making.begun, events)):.1f} ms",
    )
    long = Making(fine)
    for second in range(len(big.steps)):
        long.do(Command(action=Action.ADVANCE), float(second))
    yield (
        f"replay of a whole cardigan ({len(long.events)} events)",
        f"{timed(lambda: Making(fine, long.events), 5):.0f} ms",
    )
    yield "one advance, decided and folded", f"{_advance_ms(fine):.3f} ms"
    yield "one event committed to disk (SQLite, synchronous FULL)", f"{_append_ms():.1f} ms"


def _advance_ms(plan: object) -> float:
    making = Making(plan)  # type: ignore[arg-type]
    clock = iter(range(10_000))
    return timed(lambda: making.do(Command(action=Action.ADVANCE), float(next(clock))), 200)


def _append_ms() -> float:
    making = demo_making()
    with TemporaryDirectory() as folder:
        store = Store(Path(folder) / "makes.db")
        store.create("bench", making.begun)
        spent = timed(lambda: store.append("bench", making.events[:1]), 50)
        store.close()
    return spent
