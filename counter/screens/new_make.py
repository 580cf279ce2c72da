"""A new make: which design, then as few questions as it can do with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Collapsible, Input, OptionList, Select, Static
from textual.widgets.option_list import Option

from counter.arguments import DEFAULT_GAUGE
from counter.keys import key_name, page_bindings
from counter.settings import Unit
from counter.telling import in_unit, inches
from counter.widgets.tape import drawing
from engine.designs import DESIGNS, design
from engine.planning import make_plan, read_gauge, script_for
from engine.refusal import Refusal
from engine.vocabulary import page_key
from engine.wording import counted
from models.command import Page
from models.plan import MeasureSpec, Plan
from models.script import Craft, Hand

if TYPE_CHECKING:
    from counter.app import SpokenrowApp

_WAIT_S = 0.4
"""Quiet at the keyboard before the outlook is worked out anew."""
PRACTICE = "practice"
"""The design that teaches the words."""
_BEGIN = key_name(page_key(Page.BEGIN).keys[0])


class NewMake(ModalScreen[str | None]):
    """Which design. Gives the name of the make begun."""

    AUTO_FOCUS = "#designs"
    BINDINGS = [("escape,q", "dismiss(None)", "back")]
    app: SpokenrowApp

    def compose(self) -> ComposeResult:
        """The designs, the practice piece first for a maker who has nothing yet."""
        names = list(DESIGNS)
        if PRACTICE in names and not self.app.store.names():
            names.remove(PRACTICE)
            names.insert(0, PRACTICE)
        with Vertical(id="page"):
            yield Static(Content.styled("What will it be?", "bold"), classes="head")
            yield OptionList(
                *(
                    Option(
                        Content.assemble(
                            (design(name).info.title, "bold"), f"\n{design(name).info.blurb}"
                        ),
                        id=name,
                    )
                    for name in names
                ),
                id="designs",
            )
        yield Static(
            Content.from_markup(
                "[bold reverse] enter [/] [bold]this one[/]   ↑ ↓ choose   "
                "[@click=screen.dismiss(None)]esc back[/]"
            ),
            classes="keys",
        )

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """One was chosen."""
        self.app.push_screen(MakeForm(str(event.option.id)), self._begun)

    def _begun(self, name: str | None) -> None:
        if name is not None:
            self.dismiss(name)


class MakeForm(ModalScreen[str | None]):
    """Size or measurements, gauge, yarn, hand. Gives the name of the make begun."""

    AUTO_FOCUS = "Select, Input"
    BINDINGS = [("escape", "dismiss(None)", "back"), *page_bindings(Page.BEGIN)]
    app: SpokenrowApp

    def __init__(self, name: str) -> None:
        super().__init__()
        self._design = design(name)
        self._defaults = self._design.defaults(self._design.usual)
        self._waiting: Timer | None = None

    def compose(self) -> ComposeResult:
        """What the design asks for, filled in."""
        info, settings = self._design.info, self.app.settings
        with VerticalScroll(id="page"):
            yield Static(Content.styled(f"A new {info.title.lower()}", "bold"), classes="head")
            if info.sizes:
                yield from _field(
                    "Size",
                    "By the body, of the published table; or measure, below.",
                    Select(
                        [(size, size) for size in info.sizes],
                        value=self._design.usual,
                        allow_blank=False,
                        compact=True,
                        id="size",
                    ),
                )
                with Collapsible(title="Own measurements", collapsed=True):
                    yield from self._measures()
            else:
                yield from self._measures()
            yield from _field(
                "Gauge",
                "Loops x rows per 10 cm, counted in a piece of your own; or '20 x 26 / 4in'.",
                Input(DEFAULT_GAUGE, compact=True, id="gauge"),
                drawing("gauge"),
            )
            yield from _field(
                "Ball",
                "Loops in one ball, if you know it: then you hear when it runs out.",
                Input("", placeholder="not known", type="integer", compact=True, id="ball"),
            )
            if len(info.crafts) > 1:
                yield from _field(
                    "Craft",
                    "Loop yarn in the hands, or stitches on needles.",
                    Select(
                        [(craft.value, craft) for craft in info.crafts],
                        value=info.crafts[0],
                        allow_blank=False,
                        compact=True,
                        id="craft",
                    ),
                )
            yield from _field(
                "Leading hand",
                "The left one mirrors every direction.",
                Select(
                    [(hand.value, hand) for hand in Hand],
                    value=settings.hand,
                    allow_blank=False,
                    compact=True,
                    id="hand",
                ),
            )
            yield from _field(
                "Call it", "A name for the shelf.", Input(info.title, compact=True, id="title")
            )
        yield Static(id="outlook")
        yield Static(id="refusal")
        yield Static(
            Content.from_markup(
                f"[@click=screen.turn_to('begin')][bold reverse] {_BEGIN} [/] [bold]begin it[/][/]"
                "   tab next line   [@click=screen.dismiss(None)]esc back[/]"
            ),
            classes="keys",
        )

    def _measures(self) -> ComposeResult:
        for spec in self._design.info.measures:
            unit = self.app.settings.unit
            yield from _field(
                f"{spec.label}, {unit}",
                spec.why,
                Input(
                    self._shown(spec),
                    type="number",
                    compact=True,
                    id=f"measure-{spec.name}",
                    classes="measure",
                ),
                drawing(spec.name),
            )

    def _shown(self, spec: MeasureSpec) -> str:
        cm = self._defaults[spec.name]
        return f"{cm:g}" if self.app.settings.unit is Unit.CM else inches(cm)

    def on_mount(self) -> None:
        """The outlook of what stands there."""
        self.query_one("#refusal").display = False
        self._look()

    def on_select_changed(self, event: Select.Changed) -> None:
        """Another size fills in its own measurements, but not over what she typed."""
        if event.select.id == "size":
            untouched = {
                spec.name: self._line(spec).value == self._shown(spec)
                for spec in self._design.info.measures
            }
            self._defaults = self._design.defaults(str(event.value))
            for spec in self._design.info.measures:
                if untouched[spec.name]:
                    self._line(spec).value = self._shown(spec)
        self._look_soon()

    def on_input_changed(self) -> None:
        """Something was typed."""
        self._look_soon()

    def on_input_submitted(self) -> None:
        """Enter goes to the next line."""
        self.focus_next()

    def _look_soon(self) -> None:
        if self._waiting is not None:
            self._waiting.stop()
        self._waiting = self.set_timer(_WAIT_S, self._look)

    def _look(self) -> None:
        """What comes of it: said while she still types, and never in her way."""
        try:
            plan = self._plan()
            script = script_for(plan)
        except Refusal as refusal:
            self._say(outlook="", refusal=in_unit(str(refusal), self.app.settings.unit))
            return
        said = [f"{counted(script.yarn_loops, plan.craft)} of yarn"]
        if plan.ball_loops:
            said.append(f"about {-(-script.yarn_loops // plan.ball_loops)} balls")
        said += [f"{name} {cm:g} cm" for name, cm in list(script.finished_cm.items())[:3]]
        self._say(outlook=in_unit(" · ".join(said), self.app.settings.unit), refusal="")

    def _say(self, *, outlook: str, refusal: str) -> None:
        box = self.query_one("#refusal", Static)
        box.display = bool(refusal)
        box.update(Content.assemble(("✗ ", "bold"), refusal))
        line = self.query_one("#outlook", Static)
        line.display = bool(outlook)
        line.update(Content.assemble(("comes to ", "bold"), outlook))

    def _line(self, spec: MeasureSpec) -> Input:
        return self.query_one(f"#measure-{spec.name}", Input)

    def _given(self) -> dict[str, float]:
        """The measurements that differ from the size's own, in cm."""
        given = {}
        for spec in self._design.info.measures:
            said = self._line(spec).value.strip().replace(",", ".")
            if said == self._shown(spec):
                continue
            try:
                given[spec.name] = float(said) * self.app.settings.unit.cm
            except ValueError:
                raise Refusal(
                    f"{spec.label} wants a number: {said or 'nothing'!r} stands there."
                ) from None
        return given

    def _plan(self) -> Plan:
        """The plan that the form asks for. Raises Refusal."""
        info = self._design.info
        ball = self.query_one("#ball", Input).value.strip()
        size = str(self.query_one("#size", Select).value) if info.sizes else ""
        craft: Craft | None = None
        if len(info.crafts) > 1:
            craft = Craft(str(self.query_one("#craft", Select).value))
        return make_plan(
            info.name,
            read_gauge(self.query_one("#gauge", Input).value),
            size=size,
            given=self._given(),
            craft=craft,
            hand=Hand(str(self.query_one("#hand", Select).value)),
            ball_loops=int(ball) if ball.lstrip("-").isdigit() else None,
            title=self.query_one("#title", Input).value.strip(),
        )

    def action_turn_to(self, page: str) -> None:
        """The form's own key: begin."""
        if page != Page.BEGIN:
            return
        store = self.app.store
        try:
            plan = self._plan()
            script_for(plan)
            name = store.free_name(plan.title)
            store.create(name, plan)
        except Refusal as refusal:
            self._say(outlook="", refusal=in_unit(str(refusal), self.app.settings.unit))
            return
        self.dismiss(name)


def _field(label: str, why: str, answer: Widget, picture: str = "") -> ComposeResult:
    with Vertical(classes="question"):
        with Horizontal(classes="field"):
            yield Static(Content.styled(label, "bold"), classes="label")
            yield answer
        yield Static(why, classes="why", markup=False)
        if picture:
            yield Static(picture, classes="picture", markup=False)
