"""A new make: which design, then as few questions as it can do with."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.keys import key_name
from counter.shared.settings import Unit
from counter.shared.telling import inches
from counter.tui.host import Host
from counter.tui.screens.form import PlanForm, question
from counter.tui.screens.loops_form import LoopsForm
from counter.tui.screens.pattern_source import PatternSource
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.tape import drawing
from counter.tui.widgets.words import Choice, Choices, Field, Fold, Pick, Text
from engine.base.numbers import cm
from engine.base.refusal import Refusal
from engine.designs import DESIGNS, PRACTICE, design
from engine.plan.planning import make_plan, read_gauge, usual_gauge
from engine.stitches import NAMES, stitch_pattern
from models.plan import WRITTEN, MeasureSpec, Plan
from models.script import Craft

BY_LOOPS = "by-loops"
"""What is worked from numbers instead of measurements."""


class NewMake(ModalScreen[str | None]):
    """Which design. Gives the name of the make begun."""

    AUTO_FOCUS = "#designs"
    BINDINGS = [("escape,q", "dismiss(None)", "back")]
    app: Host

    def compose(self) -> ComposeResult:
        """The designs, the practice piece first for a maker who has nothing yet."""
        names = list(DESIGNS)
        if not self.app.store.names():
            names.remove(PRACTICE)
            names.insert(0, PRACTICE)
        with Vertical(id="page"):
            yield Text(Content.styled("What will it be?", "bold"), classes="head")
            yield Choices(
                *(
                    Choice(
                        Content.assemble(
                            (design(name).info.title, "bold"), f"\n{design(name).info.blurb}"
                        ),
                        id=name,
                    )
                    for name in [*names, WRITTEN]
                ),
                Choice(
                    Content.assemble(
                        ("By numbers of loops", "bold"),
                        "\nA cardigan or vest from a list: foundation, front, back, sleeve.",
                    ),
                    id=BY_LOOPS,
                ),
                id="designs",
            )
        yield KeyLine(
            Offer(key_name("enter"), "this one", loud=True),
            Offer(key_name("escape"), "back", does="screen.dismiss(None)"),
            Offer("↑ ↓", "choose"),
            classes="keys",
        )

    def on_option_list_option_selected(self, event: Choices.OptionSelected) -> None:
        """One was chosen."""
        name = str(event.option.id)
        others: dict[str, type[ModalScreen[str | None]]]
        others = {WRITTEN: PatternSource, BY_LOOPS: LoopsForm}
        screen = MakeForm(name) if name in DESIGNS else others[name]()
        self.app.push_screen(screen, self._begun)

    def _begun(self, name: str | None) -> None:
        if name is not None:
            self.dismiss(name)


class MakeForm(PlanForm):
    """Size or measurements, gauge and craft of a built-in design."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._design = design(name)
        self._defaults = self._design.defaults(self._design.usual)
        self.heading = f"A new {self._design.info.title.lower()}"

    def questions(self) -> ComposeResult:
        """What the design asks for, filled in."""
        info = self._design.info
        if info.sizes:
            yield from question(
                "Size",
                "By the body, of the published table; or measure, below.",
                Pick(
                    [(size, size) for size in info.sizes],
                    value=self._design.usual,
                    id="size",
                ),
            )
            with Fold("Own measurements"):
                yield from self._measures()
        else:
            yield from self._measures()
        yield from question(
            "Gauge",
            "Loops x rows per 10 cm, counted in a piece of your own; or '20 x 26 / 4in'.",
            Field(usual_gauge(info.name), id="gauge"),
            drawing("gauge"),
        )
        if len(info.crafts) > 1:
            yield from question(
                "Craft",
                "Loop yarn in the hands, or stitches on needles.",
                Pick(
                    [(craft.value, craft) for craft in info.crafts],
                    value=info.crafts[0],
                    id="craft",
                ),
            )
        if info.stitches:
            names = [n for n in NAMES if set(stitch_pattern(n).crafts) & set(info.crafts)]
            yield from question(
                "Stitch",
                "A stitch pattern laid over it; count your gauge in a piece worked in it.",
                Pick([("plain", ""), *((name, name) for name in names)], value="", id="stitch"),
            )
        if info.stripes:
            yield from question(
                "Stripes",
                "Colours and their rows in turn, as in 'cream 8, sand 4'; or blocks side by side, "
                "as in 'cream | sand 20'.",
                Field("", placeholder="one colour", id="stripes"),
            )
        yield from question("Call it", "A name for the shelf.", Field(info.title, id="title"))

    def _measures(self) -> ComposeResult:
        for spec in self._design.info.measures:
            yield from question(
                spec.label,
                spec.why,
                Field(self._shown(spec), id=f"measure-{spec.name}"),
                drawing(spec.name),
                unit=self.app.settings.unit,
            )

    def _shown(self, spec: MeasureSpec) -> str:
        cm = self._defaults[spec.name]
        return f"{cm:g}" if self.app.settings.unit is Unit.CM else inches(cm)

    def on_select_changed(self, event: Pick.Changed) -> None:
        """Another size fills in its own measurements, but not over what she typed."""
        if event.select.id != "size":
            return
        lines = {
            spec: self.query_one(f"#measure-{spec.name}", Field)
            for spec in self._design.info.measures
        }
        untouched = [spec for spec, line in lines.items() if line.value == self._shown(spec)]
        self._defaults = self._design.defaults(str(event.value))
        for spec in untouched:
            lines[spec].value = self._shown(spec)

    def _given(self) -> dict[str, float]:
        """The measurements that differ from the size's own, in cm."""
        given = {}
        for spec in self._design.info.measures:
            said = self.text(f"measure-{spec.name}")
            if said == self._shown(spec):
                continue
            try:
                given[spec.name] = cm(said, self.app.settings.unit.cm)
            except Refusal as refusal:
                raise Refusal(f"{spec.label}: {refusal}") from None
        return given

    def plan(self) -> Plan:
        """The plan that the answers ask for. Raises Refusal."""
        info = self._design.info
        craft: Craft | None = None
        if len(info.crafts) > 1:
            craft = Craft(str(self.query_one("#craft", Pick).value))
        return make_plan(
            info.name,
            read_gauge(self.text("gauge")),
            size=str(self.query_one("#size", Pick).value) if info.sizes else "",
            given=self._given(),
            craft=craft,
            hand=self.hand,
            ball_loops=self.ball_loops,
            title=self.text("title"),
            stitch=str(self.query_one("#stitch", Pick).value) if info.stitches else "",
            stripes=self.text("stripes") if info.stripes else "",
        )
