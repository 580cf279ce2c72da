"""A form that becomes a plan: what comes of it is told while it is filled in."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.timer import Timer
from textual.widget import Widget

from counter.shared.keys import key_name
from counter.shared.settings import Unit
from counter.shared.telling import in_unit, inches
from counter.tui.host import Host
from counter.tui.keys import page_bindings
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Field, Pick, Text
from engine.advise import fitting, lots
from engine.base.numbers import whole
from engine.base.refusal import Refusal
from engine.plan.planning import gauge_told, in_lots, read_lots, script_for
from engine.script.wording import counted
from engine.words.vocabulary import page_key
from models.command import Page
from models.fit import Line
from models.plan import Plan
from models.script import Hand

_WAIT_S = 0.4
"""Quiet at the keyboard before the outlook is worked out anew."""
_TOLD = 3
"""Measurements that stand in the line below the form; the table in it has all."""
_BEGIN = key_name(page_key(Page.BEGIN).keys[0])


class PlanForm(ModalScreen[str | None]):
    """Questions, the outlook, and a refusal that loses nothing. Gives the make's name.

    A form of its own has `questions`, and `plan`, which makes a plan of the answers.
    """

    AUTO_FOCUS = "Select, Input"
    BINDINGS = [("escape", "dismiss(None)", "back"), *page_bindings(Page.BEGIN)]
    app: Host
    heading = ""

    def __init__(self) -> None:
        super().__init__()
        self._waiting: Timer | None = None
        self._refused = False

    def questions(self) -> ComposeResult:
        """What is asked, one `question` after the other."""
        raise NotImplementedError

    def plan(self) -> Plan:
        """The plan that the answers ask for. Raises Refusal."""
        raise NotImplementedError

    @property
    def started(self) -> bool:
        """Whether there is anything yet to work out."""
        return True

    def compose(self) -> ComposeResult:
        """The questions, what comes of them, the keys."""
        with VerticalScroll(id="page"):
            yield Text(Content.styled(self.heading, "bold"), classes="head")
            yield from self.questions()
            yield from question(
                "Ball",
                "Loops in one ball, if you know it: then you hear when it runs out.",
                Field("", placeholder="not known", id="ball"),
            )
            with Vertical(id="two-lots"):
                yield from question(
                    "Dye lots",
                    "Balls of each where they are of two, as in '7 3': they take turns.",
                    Field("", placeholder="one lot", id="lots"),
                )
                yield Text(id="both")
            yield from question(
                "Leading hand",
                "The left one mirrors every direction.",
                Pick(
                    [(hand.value, hand) for hand in Hand],
                    value=self.app.settings.hand,
                    id="hand",
                ),
            )
            yield Text(id="asked")
        yield Text(id="outlook")
        yield Text(id="refusal")
        yield KeyLine(
            Offer(_BEGIN, "begin it", does="screen.turn_to('begin')", loud=True),
            Offer(key_name("escape"), "back", does="screen.dismiss(None)"),
            Offer("tab", "next line", "next"),
            classes="keys",
        )

    def on_mount(self) -> None:
        """The outlook of what stands there."""
        self.query_one("#refusal").display = False
        self.query_one("#two-lots").display = False
        self._look()

    def text(self, name: str) -> str:
        """What stands in a line."""
        return self.query_one(f"#{name}", Field).value.strip()

    @property
    def ball_loops(self) -> int | None:
        """Loops in a ball, where they are known. Raises Refusal for what is no number."""
        ball = self.text("ball")
        try:
            return whole(ball) if ball else None
        except Refusal as refusal:
            raise Refusal(f"Loops in one ball: {refusal}") from None

    @property
    def hand(self) -> Hand:
        """The leading hand."""
        return Hand(str(self.query_one("#hand", Pick).value))

    def _in_lots(self) -> Plan:
        """The plan in the dye lots that she has, which are asked for where one ball does not do.
        Raises Refusal."""
        plan = self.plan()
        asked = lots.may_be_two(plan)
        self.query_one("#two-lots").display = asked
        said = self.text("lots") if asked else ""
        return in_lots(plan, read_lots(said)) if said else plan

    def on_select_changed(self, _event: Pick.Changed) -> None:
        """Something was chosen."""
        self._look_soon()

    def on_input_changed(self) -> None:
        """Something was typed."""
        self._refused = False
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
        if not self.started:
            if not self._refused:
                self._say(outlook="", refusal="")
            return
        try:
            plan = self._in_lots()
            script = script_for(plan)
            both = lots.outlook(plan)
        except Refusal as refusal:
            self._say(outlook="", refusal=str(refusal))
            return
        said = [f"{counted(script.yarn_loops, plan.craft)} of yarn"]
        if plan.ball_loops:
            said.append(f"about {-(-script.yarn_loops // plan.ball_loops)} balls")
        typed = self.text("gauge")
        if typed and (told := gauge_told(typed, plan.gauge)):
            said.insert(0, told)
        got = fitting.lines(plan, script)
        off = [line for line in got if line.off]
        shown = [*off, *(line for line in got if not line.off)]
        shown, more = shown[:_TOLD], off[_TOLD:]
        if more:
            shown, more = shown[:-1], [*shown[-1:], *more]
        said += [_told(line) for line in shown]
        said += [f"{len(more)} more in the table"] if more else []
        self.query_one("#both", Text).display = bool(both)
        self.query_one("#both", Text).update(" ".join(both))
        self._say(outlook=" · ".join(said), refusal="")
        self._show_asked(got)

    def _show_asked(self, got: tuple[Line, ...]) -> None:
        """What was asked beside what comes out of it, where loops and rows cannot give it."""
        asked = [line for line in got if line.wanted is not None]
        table = self.query_one("#asked", Text)
        table.display = bool(asked)
        unit = self.app.settings.unit
        rows = [Content.styled(f"  you asked → you get, {unit}", "bold")]
        for line in asked:
            wanted, garment = self._number(line.wanted or 0.0), self._number(line.garment)
            told = f"{'◆' if line.off else ' '} {line.name:<19} {wanted:>6} → {garment}"
            rows.append(Content.styled(told, "bold $accent" if line.off else ""))
        table.update(Content("\n").join(rows))

    def _number(self, cm: float) -> str:
        return f"{cm:.1f}" if self.app.settings.unit is Unit.CM else inches(cm)

    def _say(self, *, outlook: str, refusal: str) -> None:
        unit = self.app.settings.unit
        self.query_one("#asked", Text).display = bool(outlook)
        for name, mark, said in (("refusal", "✗ ", refusal), ("outlook", "comes to ", outlook)):
            line = self.query_one(f"#{name}", Text)
            line.display = bool(said)
            line.update(Content.assemble((mark, "bold"), in_unit(said, unit)))

    def action_turn_to(self, page: str) -> None:
        """The form's own key: begin."""
        if page != Page.BEGIN:
            return
        if self._waiting is not None:
            self._waiting.stop()  # what is said now would be cleared by it
        store = self.app.store
        try:
            plan = self._in_lots()
            script_for(plan)
            name = store.free_name(plan.title)
            store.create(name, plan)
        except Refusal as refusal:
            self._refused = True
            self._say(outlook="", refusal=str(refusal))
            return
        self.dismiss(name)


def _told(line: Line) -> str:
    """`body height 37.3 cm, not 36.0 cm`: what it comes to, and what was asked if it differs."""
    asked = f", not {line.wanted:.1f} cm" if line.off else ""
    return f"{line.name} {line.garment:.1f} cm{asked}"


def question(
    label: str, why: str, answer: Widget, picture: str = "", unit: str = ""
) -> ComposeResult:
    """A label, the line to answer in, its unit, why it is asked, and a drawing meanwhile."""
    with Vertical(classes="question"):
        with Horizontal(classes="field"):
            yield Text(Content.styled(label, "bold"), classes="label")
            yield answer
            if unit:
                yield Text(unit, classes="unit")
        yield Text(why, classes="why")
        if picture:
            yield Text(picture, classes="picture")
