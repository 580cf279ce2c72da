"""A fit check's verdict, and the choice that it opens."""

from engine.advise import choices, scarce
from engine.advise.fitting import short_part
from engine.advise.midway import resized
from engine.base.plural import some
from engine.make import answers, progress
from engine.make.decisions import steps
from engine.make.decisions.replies import answered, asked, refused, whole, written
from models.command import Action, Command
from models.event import FitVerdict
from models.script import Kind
from models.state import TOO_FEW, MakeState, Reply


def fit(state: MakeState, command: Command, now: float, _confirmed: bool) -> Reply:
    """It fits, or it does not and opens its choices."""
    step, verdict = state.step, command.action.value
    if step is None or state.done:
        return refused("The make is done.")
    if command.action is Action.TOO_SHORT:
        if short_part(state) is None:
            return refused("Nothing is worked yet that could reach anywhere.")
    elif step.kind is not Kind.FIT_CHECK:
        return refused("There is nothing to try on at this step.")
    if command.action is Action.FITS:
        return steps.fits(state, step, now)
    event = FitVerdict.model_validate({"at": now, "step": step.number, "verdict": verdict})
    there = choices.of(progress.evolve(state, event), now)
    head = f"{verdict.capitalize()}."
    if not there:
        return written(f"{head} Nothing can be changed any more but by ripping back.", event)
    return written(f"{head} {answers.choices(there, state)}", event)


def only_balls(state: MakeState, command: Command, now: float, _confirmed: bool) -> Reply:
    """There are no more balls than so many in all: do they reach, and if not, what to leave out."""
    balls, step = whole(command), state.step
    if step is None or state.done:
        return refused("The make is done.")
    if balls < state.balls:
        return refused(
            f"Ball {state.balls} is in work: count those that are used up as well, or take back a "
            "'new ball' too many."
        )
    if balls < (begun := scarce.begun(state)):
        return refused(
            f"{begun} yarns are in work already: count the balls of all of them, those begun and "
            "those used up too."
        )
    need, each = scarce.needed(state), scarce.told(scarce.by_yarn(state))
    together = "of all yarns together" if each else "in all"
    reach = f"{some(balls, 'ball')} {together}, those begun too"
    if need <= balls:
        return answered(
            f"{reach}: they reach, {some(need, 'ball')} will do{each}.{scarce.for_one(state)}"
        )
    event = FitVerdict(at=now, step=step.number, verdict=TOO_FEW, balls=balls)
    there = choices.of(progress.evolve(state, event), now)
    if len(there) < 2:  # only to go on as it is
        return answered(
            f"{reach}, and {need} are needed{each}. No part alone that is still to come can be "
            "shortened by so much: find more yarn, or begin again in a smaller size."
        )
    return written(
        f"{reach}, and {need} are needed{each}. {answers.choices(there, state)}",
        event,
    )


def choose(state: MakeState, command: Command, now: float, confirmed: bool) -> Reply:
    """Take one of the choices that stand open, by its number."""
    number, there = whole(command), choices.of(state, now)
    if not there:
        return refused("There is nothing to choose between here.")
    if number > len(there):
        return refused(f"There are {len(there)} choices: {answers.choices(there, state)}")
    choice = there[number - 1]
    if choice.event is None:
        return answered(f"{answers.capitalised(choice.does)}. {choice.then}")
    if choice.confirm and not confirmed:
        return asked(f"{answers.choice(choice, state)} Do it?", command)
    after = progress.evolve(state, choice.event)
    missed = answers.missed_of(resized(state, after.plan, after.script))
    say = f"{answers.capitalised(choice.does)}. {missed}{answers.say(after)}"
    return written(say, choice.event)
