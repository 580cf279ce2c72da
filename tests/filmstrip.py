"""A whole make as a strip of pictures: `python -m tests.filmstrip cardigan -o FOLDER`.

The app itself is played from the first loop to the last by its keys, in no time, and looked at as
often as asked. Every look becomes an SVG and a PNG, and all of them together `filmstrip.png`.
"""

import argparse
import asyncio
import json
import re
from pathlib import Path
from tempfile import TemporaryDirectory

import typst
from textual.pilot import Pilot

from counter.paper import page
from counter.tui.app import SpokenrowApp
from engine.advise import pace
from engine.keep.store import Store
from engine.plan.planning import make_plan, read_gauge
from models.plan import Plan
from models.script import Hand, Kind
from models.state import MakeState
from tests.tui.unhurried import Unhurried

SIZE = (120, 36)
_BEGAN = 1_790_000_000.0
_SECONDS_PER_LOOP = 4.0
_STRIP = """
#let frames = json(bytes(sys.inputs.frames))
#set page(width: auto, height: auto, margin: 8mm, fill: luma(92%))
#set text(font: "DejaVu Sans Mono")
#grid(
  columns: int(sys.inputs.columns) * (96mm,),
  gutter: 6mm,
  ..frames.map(frame => image(bytes(frame), format: "svg", width: 96mm)),
)
"""


def looks(steps: int, count: int) -> set[int]:
    """Which steps are looked at: evenly spread, the first and the last among them."""
    return {round(i * (steps - 1) / max(1, count - 1)) for i in range(count)}


def typeset(svg: str) -> str:
    """The screenshot with a font that Typst brings along, and none to be fetched."""
    svg = re.sub(r"@font-face\s*\{.*?\}", "", svg, flags=re.DOTALL)
    # A little larger, so that its blocks meet from line to line as those of the other font do.
    return svg.replace("Fira Code", "DejaVu Sans Mono").replace(
        "font-size: 20px", "font-size: 21.5px"
    )


async def play(
    design: str | Plan, count: int, hand: Hand, size: tuple[int, int]
) -> list[tuple[str, str]]:
    """Pictures of the make: a name and an SVG document each. A plan has its own hand."""
    frames: list[tuple[str, str]] = []
    hands = Unhurried(_BEGAN)
    with TemporaryDirectory(prefix="spokenrow-filmstrip-") as folder:
        store = Store(Path(folder) / "makes.db")
        if isinstance(design, Plan):
            plan = design
        else:
            plan = make_plan(design, read_gauge("5 x 3.75"), hand=hand, ball_loops=260)
        name = plan.title.lower()
        store.create(name, plan)
        app = SpokenrowApp(
            store, Path(folder) / "settings.json", make=name, clock=hands, came_at=hands.came_at
        )
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            wanted = looks(len(app.screen.work.state.script.steps), count)
            while not (state := app.screen.work.state).done:
                if state.at in wanted and state.step is not None:
                    await pilot.pause()
                    name = f"{len(frames) + 1:03}-{state.step.part}".replace(" ", "-")
                    frames.append((name, typeset(app.export_screenshot(simplify=True))))
                    wanted.discard(state.at)
                if (
                    state.ball_left is not None
                    and state.step
                    and (state.ball_left < state.step.yarn_loops + 2)
                ):
                    await pilot.press("b")
                worked = pace.handled(state.step) if state.step else 0
                hands.now += _SECONDS_PER_LOOP * max(5, worked)
                await _advance(app, pilot, state)
        store.close()
    return frames


async def _advance(app: SpokenrowApp, pilot: Pilot[int], state: MakeState) -> None:
    step = state.step
    if step is not None and step.kind is Kind.MEASURE and step.target_cm:
        await pilot.press("m")
        await pilot.pause()
        for character in f"{step.target_cm:g}":
            await pilot.press({".": "full_stop"}.get(character, character))
        await pilot.press("enter")
        await pilot.pause()
    if app.screen.work.state.at == state.at:
        await pilot.press("f" if step is not None and step.kind is Kind.FIT_CHECK else "space")
    if app.screen.work.state.at == state.at:
        raise RuntimeError(f"the make does not move on from step {state.at + 1}")


def main() -> None:
    """Write the pictures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("design", nargs="?", default="cardigan")
    parser.add_argument("-o", "--output", type=Path, default=Path("filmstrip"))
    parser.add_argument("--frames", type=int, default=12)
    parser.add_argument("--columns", type=int, default=3)
    parser.add_argument("--hand", choices=[hand.value for hand in Hand], default="right")
    arguments = parser.parse_args()
    frames = asyncio.run(play(arguments.design, arguments.frames, Hand(arguments.hand), SIZE))
    arguments.output.mkdir(parents=True, exist_ok=True)
    for name, svg in frames:
        (arguments.output / f"{name}.svg").write_text(svg, encoding="utf-8")
        (arguments.output / f"{name}.png").write_bytes(page.png(svg))
    strip = typst.compile(
        _STRIP.encode(),
        format="png",
        ppi=110,
        ignore_system_fonts=True,
        sys_inputs={
            "frames": json.dumps([svg for _, svg in frames]),
            "columns": str(arguments.columns),
        },
    )
    (arguments.output / "filmstrip.png").write_bytes(strip)
    print(f"{arguments.output}: {len(frames)} pictures and filmstrip.png")


if __name__ == "__main__":
    main()
