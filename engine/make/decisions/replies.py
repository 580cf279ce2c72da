"""The shapes of an answer: what every decision gives back."""

from engine.base.refusal import Refusal
from models.command import Command
from models.event import Event
from models.state import Reply, Tone

MOST = 100_000
"""No ball has more loops, and no make more rows."""


def refused(why: str) -> Reply:
    """A reply that changes nothing and says why."""
    return Reply(taken=False, say=why, tone=Tone.REFUSED)


def answered(say: str) -> Reply:
    """A reply that only says something."""
    return Reply(taken=True, say=say, tone=Tone.ANSWER)


def written(say: str, event: Event) -> Reply:
    """A reply that writes one event and stays on its step."""
    return Reply(taken=True, say=say, tone=Tone.MARK, events=(event,))


def asked(question: str, command: Command) -> Reply:
    """A question: the command waits for a yes."""
    return Reply(taken=True, say=question, tone=Tone.ASK, asks=command)


def whole(command: Command) -> int:
    """The command's number. Raises Refusal for anything but a whole number of 1 or more."""
    if command.value is None or command.value < 1 or command.value != int(command.value):
        raise Refusal(f"{command.action.value.capitalize()} wants a whole number of 1 or more.")
    if command.value > MOST:
        raise Refusal(f"{command.action.value.capitalize()} takes a number up to {MOST:,}.")
    return int(command.value)
