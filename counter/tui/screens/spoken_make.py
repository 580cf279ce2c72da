"""A make begun by word: one question at a time, large enough to be read from the sofa."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.beginning import Beginning, Question
from counter.shared.keys import key_name
from counter.shared.signs import legible
from counter.tui.host import Host
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Field, Text
from engine.base.numbers import length
from engine.base.refusal import Refusal
from engine.words.vocabulary import word
from models.command import Action, Command, Heard
from models.state import Reply, Tone


class SpokenMake(ModalScreen[str | None]):
    """The questions of a new make, answered by word or on the line. Gives the make's name."""

    AUTO_FOCUS = "Input"
    BINDINGS = [("escape", "dismiss(None)", "back")]
    app: Host

    def __init__(self, beginning: Beginning) -> None:
        super().__init__()
        self._beginning = beginning

    @property
    def question(self) -> Question:
        """What is asked now."""
        return self._beginning.question

    def compose(self) -> ComposeResult:
        """What was answered, what is asked, the line for fingers, the keys."""
        yield Text(Content.styled("A new make", "bold"), classes="head")
        yield Text(id="answered")
        yield Text(id="asked")
        yield Field("", id="said")
        yield Text(id="refusal")
        with VerticalScroll(id="page"):
            yield Text(id="options")
        yield KeyLine(
            Offer(key_name("enter"), "take it", does="screen.take", loud=True),
            Offer(key_name("escape"), "back", does="screen.dismiss(None)"),
            Offer("or say", "the number, yes or no", "it"),
            classes="keys",
        )

    def on_mount(self) -> None:
        """The first question."""
        self._ask()

    def hear(self, heard: Heard) -> bool:
        """Take an utterance as the answer; what it could be else is left alone."""
        command = heard.command
        if command is not None and command.action in (Action.TURN, Action.STOP_LISTENING):
            return False
        if not heard.taken or command is None:
            if heard.reason:
                self._refuse(f"heard “{legible(heard.heard)}”: not taken ({heard.reason})")
            return True
        self._answer(command)
        return True

    def action_take(self) -> None:
        """A click on enter."""
        line = self.query_one(Field)
        line.post_message(Field.Submitted(line, line.value))

    def on_input_submitted(self, event: Field.Submitted) -> None:
        """A line typed: a number, y or n; nothing is a yes."""
        text = event.value.strip()
        event.input.value = ""
        for action in (Action.YES, Action.NO):
            if text.casefold() in {*word(action).keys, action.value} or (
                not text and action is Action.YES
            ):
                self._answer(Command(action=action))
                return
        try:
            value = length(text).cm(self._beginning.unit.cm) / self._beginning.unit.cm
        except Refusal as refusal:
            self._refuse(str(refusal))
        else:
            self._answer(Command(action=Action.MEASURED, value=value))

    def _answer(self, command: Command) -> None:
        self._beginning, why = self._beginning.hear(command)
        if self._beginning.left:
            self.dismiss(None)
        elif self._beginning.done:
            self._begin()
        elif why:
            self._refuse(why)
        else:
            self._ask()

    def _begin(self) -> None:
        plan, store = self._beginning.plan(), self.app.store
        try:
            name = store.free_name(plan.title)
            store.create(name, plan)
        except Refusal as refusal:
            self._beginning = self._beginning.model_copy(update={"done": False})
            self._refuse(str(refusal))
        else:
            self.dismiss(name)

    def _ask(self) -> None:
        now = self.question
        self.query_one("#answered", Text).update("  ".join(self._beginning.told))
        self.query_one("#asked", Text).update(Content.styled(f"? {now.asks}", "bold"))
        options = (f" {place:2}  {name}" for place, name in enumerate(now.options, 1))
        self.query_one("#options", Text).update("\n".join(options))
        self._show_refusal("")
        self.app.answer(Reply(taken=True, say=now.spoken, tone=Tone.ASK), None)

    def _refuse(self, why: str) -> None:
        self._show_refusal(why)
        self.app.answer(Reply(taken=False, say=why, tone=Tone.REFUSED), None)

    def _show_refusal(self, why: str) -> None:
        line = self.query_one("#refusal", Text)
        line.display = bool(why)
        line.update(Content.assemble(("✗ ", "bold"), why))
