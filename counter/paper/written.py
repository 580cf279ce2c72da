"""What can be written of a make into a file: its sheet, its picture, its chart, its balls."""

from collections.abc import Callable
from pathlib import Path

from counter.paper import page
from counter.paper.document import sheet
from engine.advise import yarn
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.draw.chart import chart
from engine.draw.chart_text import drawn
from engine.draw.schematic import layout
from engine.draw.schematic_svg import svg
from engine.make import answers
from engine.script.twice import one_of_two, to_be_made
from engine.script.wording import counted
from models.frozen import Frozen
from models.script import LOOP_KINDS
from models.state import MakeState

RESERVE = 0.1
"""Share of the yarn that is bought on top (common practice, no source)."""
_COLUMNS = 100


class Paper(Frozen):
    """One thing that can be written."""

    name: str
    told: str
    """What it is, for a line of a list."""
    endings: tuple[str, ...]
    """Of the file's name; the first is the usual one."""


PAPERS = (
    Paper(name="sheet", told="the pattern sheet, to print", endings=(".pdf", ".html")),
    Paper(name="picture", told="the piece, drawn to scale", endings=(".svg", ".png")),
    Paper(name="chart", told="every part as a chart", endings=(".txt",)),
    Paper(name="balls", told="the yarn by part, and the balls to buy", endings=(".txt",)),
)


def paper(name: str) -> Paper:
    """The one of that name. Raises Refusal."""
    found = next((one for one in PAPERS if one.name == name), None)
    if found is None:
        raise Refusal(f"{name!r} cannot be written: {', '.join(p.name for p in PAPERS)} can.")
    return found


def content(name: str, state: MakeState, path: Path) -> str | bytes:
    """What the file at `path` is to hold. Raises Refusal where its ending is none of the paper's,
    or an extra is not installed."""
    what, ending = paper(name), path.suffix.lower()
    if ending not in what.endings:
        raise Refusal(
            f"The {name} is a file that ends in {' or '.join(what.endings)}, not {path.name!r}."
        )
    makers: dict[str, Callable[[MakeState, str], str | bytes]] = {
        "sheet": _sheet,
        "picture": _picture,
        "chart": _chart,
        "balls": _balls,
    }
    return makers[name](state, ending)


def _sheet(state: MakeState, ending: str) -> str | bytes:
    document = sheet([(state.plan, state.script)], state)
    return page.pdf(document) if ending == ".pdf" else page.html(document)


def _picture(state: MakeState, ending: str) -> str | bytes:
    script = state.script
    drawing = svg(layout(script, worded=True), script.title, script.craft, state.at, state.marks)
    return drawing if ending == ".svg" else page.png(drawing)


def _chart(state: MakeState, _ending: str) -> str:
    worked = [step.part for step in state.script.steps if step.kind in LOOP_KINDS]
    current = state.step.number if state.step else None
    said = []
    for part in dict.fromkeys(worked):
        lines = drawn(chart(state.script, part, current), _COLUMNS)
        said.append("\n".join([f"{state.script.title}: {part}", "", *map(str, lines)]))
    return "\n\n".join(said) + "\n"


def _balls(state: MakeState, _ending: str) -> str:
    return "\n".join([state.script.title, "", *balls(state)]) + "\n"


def balls(state: MakeState) -> list[str]:
    """The yarn by part, the balls to buy and where each runs out, a sentence each."""
    craft, script = state.plan.craft, state.script
    said = [f"{part}: {counted(n, craft)}." for part, n in yarn.per_part(script).items()]
    said.append(f"In all: {counted(script.yarn_loops, craft)}.")
    if one := one_of_two(script):
        said.append(f"That is one {one}; what is to be bought is for two of them.")
    ahead = yarn.forecast(state)
    if state.plan.ball_loops is None or ahead.ball_left is None:
        return [*said, "How many are in a ball is not known: type it when the next ball is joined."]
    bought = yarn.purchase(to_be_made(script) * script.yarn_loops, state.plan.ball_loops, RESERVE)
    said.append(
        f"Buy {some(bought.balls, 'ball')} of {state.plan.ball_loops}: {RESERVE:.0%} in reserve, "
        f"{counted(bought.left_over, craft)} left at the end."
    )
    said += [answers.run_out(out, script, craft) for out in ahead.run_outs]
    return said
