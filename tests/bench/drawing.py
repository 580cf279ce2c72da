"""How long the drawing takes: laid out once for a plan, painted for every row, set on paper."""

from collections.abc import Iterator

from counter.paper import page
from counter.paper.document import sheet
from engine.draw.schematic import layout
from engine.draw.schematic_cells import cells
from engine.draw.schematic_svg import svg
from engine.plan.planning import make_plan, script_for
from models.gauge import Gauge
from tests.bench.work import FINE, JUMBO, least_used, timed


def figures() -> Iterator[tuple[str, str]]:
    """Name and figure of each measurement."""
    yield from _of("cardigan 5X at 5 x 3.75", JUMBO)
    yield from _of("cardigan 5X at 22 x 30", FINE)


def _of(name: str, gauge: Gauge) -> Iterator[tuple[str, str]]:
    plan = make_plan("cardigan", gauge, size="5X")
    script = script_for(plan)
    drawing = layout(script)
    made = sheet([(plan, script)])
    middle = len(script.steps) // 2
    small = timed(lambda: cells(drawing, middle, 40, 15))
    large = timed(lambda: cells(drawing, middle, 200, 60))
    laid = f"{timed(lambda: layout(script), 5):.0f} ms"
    least = f"{least_used(lambda: layout(script)):.0f} ms of the processor at the least"
    yield f"{name}, laid out", f"{laid}; {least}"
    yield f"{name}, painted in 40 x 15 and 200 x 60 cells", f"{small:.1f} and {large:.1f} ms"
    yield f"{name}, as SVG", f"{timed(lambda: svg(drawing, 'Cardigan'), 5):.0f} ms"
    yield f"{name}, pattern sheet as PDF", f"{timed(lambda: page.pdf(made), 3):.0f} ms"


if __name__ == "__main__":
    for line, figure in figures():
        print(f"{line}: {figure}")
