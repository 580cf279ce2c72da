"""Sets a sheet in type: HTML with Jinja, PDF and pictures with Typst, both from `paper`, an extra.

Typst's wheel brings its own fonts, and no others are used: a sheet looks alike on every machine.
"""

from importlib.resources import files
from typing import Any

from counter.paper.document import Sheet
from engine.base.refusal import Refusal

_PICTURE = (
    "#set page(width: auto, height: auto, margin: 0pt)\n"
    '#set text(font: "Libertinus Serif")\n'
    '#image(bytes(sys.inputs.picture), format: "svg")\n'
)
INSTALL = "pip install 'spokenrow[paper]'"
PICTURE_PPI = 200
"""Pixels to an inch of paper."""


def _typst() -> Any:
    try:
        import typst
    except ImportError:
        raise Refusal(f"PDF and PNG need the paper extra: {INSTALL}") from None
    return typst


def _source(name: str) -> str:
    return files("counter.paper").joinpath(name).read_text(encoding="utf-8")


def _set(source: str, kind: str, **inputs: str) -> bytes:
    made: bytes = _typst().compile(
        source.encode(),
        format=kind,
        ppi=PICTURE_PPI,
        sys_inputs=inputs,
        ignore_system_fonts=True,
    )
    return made


def pdf(sheet: Sheet) -> bytes:
    """The sheet as PDF. Raises Refusal where the extra is not installed."""
    return _set(_source("sheet.typ"), "pdf", sheet=sheet.model_dump_json())


def png(picture: str) -> bytes:
    """An SVG document as PNG. Raises Refusal where the extra is not installed."""
    return _set(_PICTURE, "png", picture=picture)


def html(sheet: Sheet) -> str:
    """The sheet as one HTML file. Raises Refusal where the extra is not installed."""
    try:
        import jinja2
        from markupsafe import Markup
    except ImportError:
        raise Refusal(f"HTML needs the paper extra: {INSTALL}") from None
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined)
    # Our own drawing, built element by element: the one thing that is markup already.
    environment.filters["drawing"] = Markup
    return environment.from_string(_source("sheet.html.jinja")).render(sheet=sheet)
