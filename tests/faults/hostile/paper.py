"""The sheet as HTML and PDF, and the drawing as SVG."""

import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from html.parser import HTMLParser

from pypdf import PdfReader

from counter.paper import page
from counter.paper.document import sheet
from engine.draw.schematic import layout
from engine.draw.schematic_svg import svg
from tests.faults.hostile import makes
from tests.faults.hostile.marks import Shown
from tests.faults.hostile.texts import Supply

_ACTIONS = re.compile(r"/(?:JavaScript|JS|Launch|URI|OpenAction|AA|EmbeddedFile|SubmitForm)\b")
"""What makes a PDF do something. Source: ISO 32000-2, 12.6."""


class _Elements(HTMLParser):
    """The elements with their attributes, and the text between them."""

    def __init__(self) -> None:
        super().__init__()
        self.elements: list[object] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        kept = [(key, "" if key in {"x", "y", "points"} else value) for key, value in attrs]
        self.elements.append((tag, kept if tag not in {"text", "polygon", "line"} else []))

    def handle_data(self, data: str) -> None:
        self.text += data

    def handle_comment(self, data: str) -> None:
        self.elements.append(f"comment {data}")

    def handle_decl(self, decl: str) -> None:
        self.elements.append(f"declaration {decl}")

    def handle_pi(self, data: str) -> None:
        self.elements.append(f"instruction {data}")


def _html(of: makes.Work) -> _Elements:
    found = _Elements()
    found.feed(page.html(sheet([(of.state.plan, of.state.script)], of.state)))
    return found


_TAME = Supply(["tame"])


def paper(texts: Supply, *, pdf: bool = True) -> Iterator[Shown]:
    """Each of one make; PDF takes a while and may be left out."""
    work, said = makes.hostile_work(texts)
    script, state = work.state.script, work.state
    wanted = [said["title"], said["part"]]
    drawn = svg(layout(script), script.title, script.craft, state.at, state.marks)
    root = ET.fromstring(drawn)
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    odd = sorted(tags - {"svg", "title", "desc", "defs", "pattern", "rect", "polygon", "path",
                         "line", "circle", "text"})  # fmt: skip
    odd += [
        f"{name}={value}"
        for element in root.iter()
        for name, value in element.attrib.items()
        if name.startswith("on") or "href" in name
    ]
    yield Shown("picture", drawn, wanted, "".join(root.itertext()), odd)
    found, tame = _html(work), _html(makes.hostile_work(_TAME)[0])
    strange = [e for e in found.elements if e not in tame.elements and "style" not in str(e)]
    yield Shown(
        "sheet, HTML", found.text, [*wanted, said["step note"]], odd=list(map(str, strange))
    )
    if not pdf:
        return
    content = page.pdf(sheet([(work.state.plan, script)], state))
    reader = PdfReader(io.BytesIO(content))
    names = " ".join(str(reader.get_object(n)) for n in range(1, len(reader.xref[0]) + 1) if n)
    odd = _ACTIONS.findall(names)
    title = str((reader.metadata or {}).get("/Title", ""))
    words = "\n".join(one.extract_text() for one in reader.pages)
    yield Shown("sheet, PDF", title, [said["title"]], odd=odd)
    if "What to do" not in words or "With care" not in words:
        yield Shown("sheet, PDF", "", odd=["the rest of the sheet is not there"])
