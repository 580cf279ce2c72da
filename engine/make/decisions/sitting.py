"""What goes on beside the rows: a new ball, a rest, a note, the early end, questions."""

from engine.advise import choices, yarn
from engine.make import answers, progress
from engine.make.decisions.replies import answered, asked, refused, whole, written
from models.command import Command
from models.event import Finished, NewBall, Noted, Paused, Resumed
from models.state import MakeState, Reply


def new_ball(state: MakeState, command: Command, now: float, _confirmed: bool) -> Reply:
    """A new ball is joined here."""
    said = None if command.value is None else whole(command)
    joined = yarn.joined(state, said)
    event = NewBall(at=now, loops=joined.loops, pulled=joined.pulled)
    return written(
        answers.new_ball(state, joined, yarn.forecast(progress.evolve(state, event))), event
    )


def pause(state: MakeState, _command: Command, now: float, _confirmed: bool) -> Reply:
    """The work is laid down."""
    if state.paused:
        return refused("The work already rests.")
    return written("The work rests. Stretch your hands.", Paused(at=now))


def resume(state: MakeState, _command: Command, now: float, _confirmed: bool) -> Reply:
    """The work is taken up again."""
    if not state.paused:
        return refused("The work is already in hand.")
    say = answers.say(state) + answers.in_hand(None if state.done else state.step)
    return written(say, Resumed(at=now))


def note(_state: MakeState, command: Command, now: float, _confirmed: bool) -> Reply:
    """Her own words, at this row."""
    if command.sound:
        event = Noted(at=now, text="", sound=command.sound, seconds=command.seconds)
        return written(f"Kept: a spoken note of {command.seconds:.0f} s.", event)
    if not (command.text or "").strip():
        return refused("A note needs some words: type it at the keyboard, or say it.")
    return written("Noted.", Noted(at=now, text=(command.text or "").strip()))


def finish(state: MakeState, command: Command, now: float, confirmed: bool) -> Reply:
    """Close the make before its end, after a yes."""
    if state.done:
        return refused("The make is already done.")
    if not confirmed:
        return asked("Close this make before its end?", command)
    return written("The make is closed.", Finished(at=now))


def where(state: MakeState, _command: Command, now: float, _confirmed: bool) -> Reply:
    """Where the work stands, and what waits there."""
    return answered(f"{answers.where(state)} {_open_choice(state, now)}".strip())


def say_again(state: MakeState, _command: Command, now: float, _confirmed: bool) -> Reply:
    """The instruction in work, or the choice that comes before it."""
    return answered(_open_choice(state, now) or answers.say(state))


def _open_choice(state: MakeState, now: float) -> str:
    """The choice that a tape or a try-on has opened; empty for none."""
    if not state.open_verdict or state.closed:
        return ""
    verdict = answers.capitalised(state.open_verdict)
    return f"{verdict}, and a choice is open. {answers.choices(choices.of(state, now), state)}"
