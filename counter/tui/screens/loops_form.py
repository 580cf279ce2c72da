"""A garment by its numbers of loops: the list that makers write, asked for line by line."""

from __future__ import annotations

from textual.app import ComposeResult

from counter.shared.loop_lines import LOOP_LINES, list_of
from counter.tui.screens.form import PlanForm, question
from counter.tui.widgets.tape import drawing
from counter.tui.widgets.words import Field, Pick
from engine.base.refusal import Refusal
from engine.designs import design
from engine.plan.listed.garment import GARMENTS, plan_of_list
from engine.plan.planning import DEFAULT_GAUGE, read_gauge
from models.plan import Plan


class LoopsForm(PlanForm):
    """Numbers instead of measurements; what does not fit together is said while she types."""

    heading = "By numbers of loops"

    @property
    def started(self) -> bool:
        """Whether any number stands there."""
        return any(self.text(name) for name, *_ in LOOP_LINES)

    def questions(self) -> ComposeResult:
        """A line for each part, as it is written in such lists."""
        yield from question(
            "Garment",
            "Open at the front, in one piece to the armholes.",
            Pick(
                [(design(name).info.title, name) for name in GARMENTS],
                value=GARMENTS[0],
                id="garment",
            ),
        )
        for name, label, why, example in LOOP_LINES:
            yield from question(label, why, Field("", placeholder=example, id=name))
        yield from question(
            "Gauge",
            "Loops x rows per 10 cm: only for what it comes to in cm.",
            Field(DEFAULT_GAUGE, id="gauge"),
            drawing("gauge"),
        )
        yield from question("Call it", "A name for the shelf.", Field("", id="title"))

    def plan(self) -> Plan:
        """The plan of the numbers. Raises Refusal."""
        said = list_of({name: self.text(name) for name, *_ in LOOP_LINES})
        if not said:
            raise Refusal("Write the numbers: foundation, front, armhole and back at least.")
        return plan_of_list(
            said,
            str(self.query_one("#garment", Pick).value),
            gauge=read_gauge(self.text("gauge")),
            hand=self.hand,
            ball_loops=self.ball_loops,
            title=self.text("title"),
        )
