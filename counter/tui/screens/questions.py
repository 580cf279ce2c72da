"""Questions answered by word or key, one at a time, large enough to be read from the sofa."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.interview import Interview, Question, answer_of
from counter.shared.keys import key_name
from counter.shared.signs import Sign, Signs, legible
from counter.tui.host import Host
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Field, Text
from engine.base.refusal import Refusal
from engine.make.decisions.replies import refused
from models.command import Action, Command, Heard
from models.state import Reply, Tone

Asked = TypeVar("Asked", bound=Interview)


class Questions(ModalScreen[str | None], Generic[Asked]):
    """The questions of an interview. Gives what comes of it, or None where she leaves it."""

    AUTO_FOCUS = "Input"
    BINDINGS = [("escape", "dismiss(None)", "back")]
    app: Host

    def __init__(self, heading: str, interview: Asked, take: Callable[[Asked], str]) -> None:
        """`take` makes something of the answers, or raises Refusal: then she may answer again."""
        super().__init__()
        self._heading = heading
        self._interview = interview
        self._take = take
        self._signs = Signs()

    @property
    def question(self) -> Question:
        """What is asked now."""
        return self._interview.question

    def compose(self) -> ComposeResult:
        """What was answered, what is asked, the line for fingers, the keys."""
        yield Text(Content.styled(self._heading, "bold"), classes="head")
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
                told = f"heard “{legible(heard.heard)}”: not taken ({heard.reason})"
                self._show_refusal(told)
                self.app.answer(refused(heard.reason), command, heard)
            return True
        self._answer(command)
        return True

    def action_take(self) -> None:
        """A click on enter."""
        line = self.query_one(Field)
        line.post_message(Field.Submitted(line, line.value))

    def on_input_submitted(self, event: Field.Submitted) -> None:
        """A line typed: a number, y or n; nothing takes what is usual."""
        text, event.input.value = event.value, ""
        try:
            command = answer_of(text, self._interview.unit, self._interview.question)
        except Refusal as refusal:
            self._refuse(str(refusal))
        else:
            self._answer(command)

    def _answer(self, command: Command) -> None:
        self._interview, why = self._interview.hear(command)
        if self._interview.left:
            self.dismiss(None)
        elif self._interview.done:
            self._done()
        elif why:
            self._refuse(why)
        else:
            self._ask()

    def _done(self) -> None:
        try:
            came = self._take(self._interview)
        except Refusal as refusal:
            self._interview = self._interview.model_copy(update={"done": False})
            self._refuse(str(refusal))
        else:
            self.dismiss(came)

    def _ask(self) -> None:
        now = self.question
        answered = self.query_one("#answered", Text)
        answered.display = bool(self._interview.told)
        answered.update("  ".join(self._interview.told))
        self.query_one("#asked", Text).update(Content.styled(f"? {now.asks}", "bold"))
        options = (f" {place:2}  {name}" for place, name in enumerate(now.options, 1))
        self.query_one("#options", Text).update("\n".join((*options, *now.details)))
        self._signs = Signs()
        self._show_refusal("")
        self.app.answer(Reply(taken=True, say=self._interview.spoken, tone=Tone.ASK), None)

    def _refuse(self, why: str) -> None:
        self._show_refusal(why)
        self.app.answer(refused(why), None)

    def _show_refusal(self, why: str) -> None:
        line = self.query_one("#refusal", Text)
        line.display = bool(why)
        self._signs = self._signs.then(Sign(loud="✗ ", quiet=why), 0.0)
        line.update(Content.assemble((self._signs.again.loud, "bold"), self._signs.again.quiet))
