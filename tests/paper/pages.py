"""Sheets of three sizes, of every design: `python -m tests.paper.pages [GAUGE…]`.

The smallest, the usual and the largest size together, in each craft, plain and in moss stitch.
Tells how many pages each has, and ends with 1 where one has more than six.
"""

import io
import sys
from collections.abc import Iterator

from pypdf import PdfReader

from counter.paper import page
from counter.paper.document import Sheet, sheet
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.plan.planning import make_plan, read_gauge, script_for
from models.script import Craft

MOST = 6
GAUGES = ("5 x 3.75", "14 x 18", "18 x 24", "32 x 44")


def in_three_sizes(name: str, gauge: str, craft: Craft, stitch: str = "") -> Sheet:
    """The sheet of a design's smallest, usual and largest size. Raises Refusal."""
    chosen = DESIGNS[name]
    worked = []
    for size in dict.fromkeys((chosen.info.sizes[0], chosen.usual, chosen.info.sizes[-1])):
        plan = make_plan(name, read_gauge(gauge), size=size, craft=craft, stitch=stitch)
        worked.append((plan, script_for(plan)))
    return sheet(worked)


def pages_of(document: Sheet) -> list[str]:
    """What stands on each page of it as PDF."""
    return [one.extract_text() for one in PdfReader(io.BytesIO(page.pdf(document))).pages]


def every(gauges: tuple[str, ...]) -> Iterator[tuple[str, int]]:
    """Each sheet's name, and its pages."""
    for gauge in gauges:
        for name, chosen in DESIGNS.items():
            if len(chosen.info.sizes) < 3:
                continue
            for craft in chosen.info.crafts:
                for stitch in ("", "moss") if chosen.info.stitches else ("",):
                    told = f"{name}, {craft.value}, {gauge}{', moss' if stitch else ''}"
                    try:
                        document = in_three_sizes(name, gauge, craft, stitch)
                    except Refusal as refusal:
                        print(f"{told}: {refusal}")
                        continue
                    yield told, len(pages_of(document))


def main(*gauges: str) -> int:
    """Print every sheet's pages."""
    made = over = 0
    for told, pages in every(gauges or GAUGES):
        made, over = made + 1, over + (pages > MOST)
        print(f"{told}: {pages} pages", flush=True)
    print(f"{made} sheets of three sizes, {over} of more than {MOST} pages")
    return 1 if over else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
