"""The one dialog: a command's number or words, by key or by voice, with the row still in view."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.reactive import reactive
from textual.screen import ModalScreen

from counter.shared.keys import key_name
from counter.shared.settings import Settings
from counter.shared.signs import Sign, Signs, legible
from counter.shared.telling import in_unit
from counter.tui.host import Host
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Field, Text
from engine.advise import choices, fitting
from engine.base.numbers import length, whole
from engine.base.refusal import Refusal
from engine.make import answers
from engine.make.decisions.replies import refused
from engine.script import wording
from engine.words.vocabulary import OPTIONAL, word
from models.command import Action, Command, Heard, Slot
from models.state import MakeState, Reply, Tone


def _question(action: Action, state: MakeState, settings: Settings) -> tuple[str, str, str]:
    """What is asked, in what light, and the number that stands there already."""
    loop = wording.loop_word(state.plan.craft, 1)
    match action:
        case Action.DROPPED:
            return f"Which {loop} was dropped?", "Enter alone marks the row without it.", ""
        case Action.RIP_BACK:
            return "Rip back how many rows?", "You are asked once more before it counts.", "1"
        case Action.MORE_ROWS:
            return "How many rows more than planned?", "", "1"
        case Action.MEASURED:
            step = state.step
            target = f"Wanted: {step.target_cm:g} cm." if step and step.target_cm else ""
            return f"What does the tape say, in {settings.unit}?", target, ""
        case Action.ACROSS:
            loops = fitting.loops_across(state) or fitting.loops_around(state)
            light = f"The tape across {wording.counted(loops, state.plan.craft)}." if loops else ""
            return f"How wide are the last rows, in {settings.unit}?", light, ""
        case Action.ONLY_BALLS:
            least = f"You are on ball {state.balls}."
            return "How many balls are there in all, those begun too?", least, str(state.balls)
        case Action.CHOOSE:
            there = (f"{c.number}  {answers.choice(c, state)}" for c in choices.of(state))
            return "Which choice?", "\n".join(there), "1"
        case _:
            return "Your note at this row:", "", ""


class Ask(ModalScreen[Command | None]):
    """Asks for what a command still lacks."""

    AUTO_FOCUS = "Input"
    BINDINGS = [("escape", "dismiss(None)", "leave it")]
    app: Host
    hearing: reactive[bool] = reactive(False, init=False)
    """Whether a number said now would be heard."""

    def __init__(
        self,
        action: Action,
        state: MakeState,
        settings: Settings,
        *,
        hearing: bool = False,
        refuses: Callable[[Command], str] = lambda _: "",
        aloud: bool = False,
    ) -> None:
        """`refuses` says in a sentence why a command would not be done; empty where it would.

        `aloud` where a word opened it: who spoke may not be looking.
        """
        super().__init__()
        self._refuses = refuses
        self._aloud = aloud
        self._signs = Signs()
        self.set_reactive(Ask.hearing, hearing)
        self.action = action
        self._asked, self._light, self._value = _question(action, state, settings)
        self._unit = settings.unit
        self._light = in_unit(self._light, self._unit)
        there = answers.choices(choices.of(state), state) if action is Action.CHOOSE else ""
        self._spoken = f"{self._asked} {there}".strip()

    def compose(self) -> ComposeResult:
        """The question, the answer's line, and the keys."""
        with Vertical(id="ask"):
            yield Text(Content.styled(f"? {self._asked}", "bold"))
            if self._light:
                yield Text(self._light, classes="quiet")
            yield Field(self._value)
            yield Text(id="ask-trouble")
            yield KeyLine(*self._offers(), id="ask-keys")

    def on_mount(self) -> None:
        """Nothing is refused yet."""
        self.query_one("#ask-trouble").display = False
        if self._aloud:
            self.app.answer(Reply(taken=True, say=self._spoken, tone=Tone.ASK), None)

    def watch_hearing(self) -> None:
        """The ears came or went."""
        if self.is_mounted:
            self.query_one(KeyLine).offers = self._offers()

    def _offers(self) -> tuple[Offer, ...]:
        offered = (
            Offer(key_name("enter"), "take it", does="screen.take", loud=True),
            Offer(key_name("escape"), "leave it", does="screen.dismiss(None)"),
        )
        if self.hearing and wants_number(self):
            return (*offered, Offer("or", "say the number", "say it"))
        return offered

    def action_take(self) -> None:
        """A click on enter."""
        line = self.query_one(Field)
        line.post_message(Field.Submitted(line, line.value))

    def on_input_submitted(self, event: Field.Submitted) -> None:
        """Enter."""
        text = event.value.strip()
        if self.action is Action.NOTE:
            self.dismiss(Command(action=self.action, text=text) if text else None)
            return
        if not text:
            self.dismiss(Command(action=self.action) if self.action in OPTIONAL else None)
            return
        try:
            value = self._number(text)
        except Refusal as refusal:
            self._trouble(str(refusal))
        else:
            self._give(Command(action=self.action, value=value))

    def _number(self, text: str) -> float:
        """The number in what was typed, a length in the maker's unit. Raises Refusal."""
        if word(self.action).slot is Slot.LENGTH:
            return length(text).cm(self._unit.cm) / self._unit.cm
        return float(whole(text))

    def _give(self, command: Command, *, aloud: bool = False) -> None:
        """Leave with it; what would be refused is said here, where another can be given."""
        if why := self._refuses(command):
            self._trouble(why)
            if aloud:
                self.app.answer(refused(why), None)
        else:
            self.dismiss(command)

    def _trouble(self, why: str) -> None:
        line = self.query_one("#ask-trouble", Text)
        self._signs = self._signs.then(Sign(loud="✗ ", quiet=in_unit(why, self._unit)), 0.0)
        line.update(Content.assemble((self._signs.again.loud, "bold"), self._signs.again.quiet))
        line.display = True

    def hear(self, heard: Heard) -> bool:
        """Take an utterance as the answer; False where it is none."""
        command = heard.command
        if not heard.taken or command is None:
            if heard.reason:
                self._trouble(f"heard “{legible(heard.heard)}”: not taken ({heard.reason})")
            return False
        match command.action:
            case Action.NO:
                self.dismiss(None)
                self.app.answer(Reply(taken=True, say="Left as it was.", tone=Tone.MARK), None)
            case Action.YES:
                self.action_take()
            case Action.MEASURED if self.action is not Action.NOTE:
                # A bare number is read as a measurement; here it answers what was asked.
                self._give(command.model_copy(update={"action": self.action}), aloud=True)
            case Action.NOTE if self.action is Action.NOTE:
                return False  # the row takes it: a note is spoken
            case action if action is self.action:
                if command.value is not None or action in OPTIONAL:
                    self._give(command, aloud=True)
            case _:
                return False
        return True


def wants_number(screen: object) -> bool:
    """Whether a bare number said now would answer a dialog."""
    return isinstance(screen, Ask) and word(screen.action).slot is not Slot.NONE
