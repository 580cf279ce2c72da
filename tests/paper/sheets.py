"""Sheets of every design, rendered and read back: `python -m tests.paper.sheets [DIR [NAME…]]`.

For each craft a sheet of its smallest, usual and largest size together, or of its one size; the
usual size alone; and that again in a stitch pattern and in stripes and blocks, where it takes them.
Each as HTML and as PDF. Read back (by the standard library's parser and by pypdf) are a box for
every step and every instruction of a sheet of one size, and the title and every size of the others.
DIR keeps the files. Printed is a line a sheet; ends with 1 where something is lost.
"""

import io
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from pypdf import PdfReader

from counter.paper import page
from counter.paper.document import sheet
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.plan.planning import NEEDLES_GAUGE, make_plan, read_gauge, script_for
from engine.script import wording
from models.plan import Plan
from models.script import Craft, RowScript
from tests.paper.reading import Page, squeezed

GAUGES = {Craft.LOOP: "5 x 3.75", Craft.NEEDLES: NEEDLES_GAUGE}
BLOCKS = "cream | sand 12, sand | cream 12"
Worked = list[tuple[Plan, RowScript]]


def sheets(name: str) -> Iterator[tuple[str, Worked]]:
    """The sheets of a design, each under a name for its file."""
    chosen = DESIGNS[name]
    sizes = chosen.info.sizes
    for craft in chosen.info.crafts:
        called = f"{name}-{'loops' if craft is Craft.LOOP else 'needles'}"
        several = dict.fromkeys((sizes[0], chosen.usual, sizes[-1])) if sizes else {"": None}
        yield called, [_worked(name, craft, size) for size in several]
        if sizes:
            yield f"{called}-one", [_worked(name, craft)]
        if chosen.info.stitches:
            yield f"{called}-moss", [_worked(name, craft, stitch="moss")]
        if chosen.info.stripes:
            yield f"{called}-stripes", [_worked(name, craft, stripes="cream 8, sand 4")]
            try:
                yield f"{called}-blocks", [_worked(name, craft, stripes=BLOCKS)]
            except Refusal as refusal:
                if "Worked around" not in str(refusal):
                    raise


def _worked(
    name: str, craft: Craft, size: str = "", *, stitch: str = "", stripes: str = ""
) -> tuple[Plan, RowScript]:
    plan = make_plan(
        name,
        read_gauge(GAUGES[craft]),
        size=size,
        craft=craft,
        stitch=stitch,
        stripes=stripes,
        ball_loops=600,
    )
    return plan, script_for(plan)


def read_back(worked: Worked) -> tuple[bytes, str, list[str]]:
    """A sheet as PDF and as HTML, and what is lost in them: sentences."""
    document = sheet(worked)
    pdf, html = page.pdf(document), page.html(document)
    told = Page(html)
    printed = squeezed(" ".join(one.extract_text() for one in PdfReader(io.BytesIO(pdf)).pages))
    wanted = [document.title, *(plan.size for plan, _ in worked if plan.size)]
    if len(worked) == 1:
        script = worked[0][1]
        wanted += {wording.instruction(step, script.craft)[1:] for step in script.steps}
        if told.boxes != len(script.steps):
            return pdf, html, [f"HTML has {told.boxes} boxes for {len(script.steps)} steps"]
    # Where a page breaks a line is its own business.
    lost = [
        f"{kind} lacks {one!r}"
        for kind, text in (("PDF", printed), ("HTML", told.text))
        for one in wanted
        if one.replace(" ", "") not in text.replace(" ", "")
    ]
    return pdf, html, lost


def main(folder: str = "", *only: str) -> int:
    """Make them all, and tell of each."""
    made = wrong = 0
    with tempfile.TemporaryDirectory() as spare:
        kept = Path(folder or spare)
        kept.mkdir(parents=True, exist_ok=True)
        for name in only or DESIGNS:
            for called, worked in sheets(name):
                pdf, html, lost = read_back(worked)
                (kept / f"{called}.pdf").write_bytes(pdf)
                (kept / f"{called}.html").write_text(html, encoding="utf-8")
                made, wrong = made + 1, wrong + len(lost)
                pages = len(PdfReader(io.BytesIO(pdf)).pages)
                print(f"{called}: {pages} pages, {len(pdf) // 1000} kB", *lost, flush=True)
    print(f"{made} sheets, each as PDF and HTML; {wrong} things lost")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
