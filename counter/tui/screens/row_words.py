"""What the row screen says of a make: one function a line, from the state alone."""

from __future__ import annotations

from math import ceil
from textwrap import wrap
from typing import NamedTuple

from textual.content import Content
from textual.style import Style

from counter.shared.keys import key_names
from counter.shared.settings import Unit
from counter.shared.telling import duration, in_unit
from counter.tui.widgets.figures import Figure
from counter.tui.widgets.lettering import capitals, lettered
from engine.advise import pace, yarn
from engine.make import answers
from engine.make.conversation import Conversation
from engine.script import places, wording
from engine.script.headline import Big, Headline, big
from engine.words.vocabulary import word
from models.advice import Choice
from models.command import Action
from models.script import LOOP_KINDS, Craft, Step
from models.state import MakeState

_AHEAD = 5
"""Steps to come that a wide screen lists."""
WORDY = 200
"""Letters of an instruction from which a small window has room for nothing else."""
_MANY = 70
"""Letters of the big lines beyond which a small window must give them more rows."""
_LOWEST = 20
"""Rows of a window below which little stands beside a long instruction."""
_NARROW = 56
"""Columns of a window below which an arrow gives way to big lines."""
_FOOT = 1
"""The row of keys."""
_LITTLE, _ALL_ELSE = 5, 8
"""Rows that this little takes, and in a higher window all that can wait."""
_LOW = 24
"""Rows of a window below which the sentence does not repeat the big lines."""
_BALL = "ball {}:"
_SOON = 2
"""A ball that ends within this many steps is worth a line."""
_FEW = 3
"""Stretches of a row that a window of 20 rows has large letters for, beside all else."""
DONE = Big(row=(Headline(words="done", short="done"),))
"""The big lines of a make that is done."""
DRESSES = frozenset({"no-row", "crowded", "wordy", "full"})
"""Classes of the style sheet that a step wears or not."""


class Told(NamedTuple):
    """All that is said of a step, and how the screen is dressed for it."""

    lines: Big
    figures: tuple[Figure, ...]
    sentence: str
    place: str
    dress: frozenset[str]


def told(step: Step, craft: Craft, unit: Unit, size: tuple[int, int]) -> Told:
    """What the row screen says of a step in a window of that size, in cells."""
    lines, said = _big_in(step, craft, unit), sentence(step, craft, unit, size[1])
    heeded = {
        # A step that is no row has no numbers to show, and often more to say.
        "no-row": not step.counts_row,
        # A row of many stretches with more around it needs the room of the figures.
        "crowded": len(lines.row) > _FEW and bool(lines.before or lines.after),
        "wordy": wordy(step, craft),
        "full": full(step, craft, said, *size),
    }
    dress = frozenset(name for name, on in heeded.items() if on)
    return Told(lines, _figures(step, craft), said, place(step, craft), dress)


def _figures(step: Step, craft: Craft) -> tuple[Figure, ...]:
    if not step.counts_row:
        return ()
    loops = f"{wording.loop_word(craft, step.loops_after)} at its end"
    where = f"{wording.place(step).lower()}, {step.part}"
    return (
        Figure(str(step.row), where),
        Figure(str(step.loops_after), f"{loops}{change(step)}"),
    )


def _big_in(step: Step, craft: Craft, unit: Unit) -> Big:
    lines = big(step, craft)
    row = [one.model_copy(update={"words": in_unit(one.words, unit)}) for one in lines.row]
    return lines.model_copy(update={"row": tuple(row)})


def place(step: Step, craft: Craft) -> str:
    """`Row 3 of 8 · 6 loops at its end ▼`."""
    said = wording.place(step)
    if not step.counts_row:
        return said
    loops = wording.counted(step.loops_after, craft)
    return f"{said} · {loops} at its end {change(step)[-1:]}"


def change(step: Step) -> str:
    """` (1 fewer ▼)` where the row changes the count."""
    more = step.loops_after - step.loops_before
    if not step.counts_row or not more:
        return ""
    return f", {abs(more)} {'more ▲' if more > 0 else 'fewer ▼'}"


def sentence(step: Step, craft: Craft, unit: Unit, height: int) -> str:
    """The instruction; in a low window a long one is told but for what the big lines say."""
    text = wording.text(step, craft)
    if len(text) > WORDY and height < _LOW:
        text = wording.beside(step, craft) or text
    return in_unit(text, unit)


def wordy(step: Step, craft: Craft) -> bool:
    """Whether a small window has room for the instruction and nothing else."""
    lines = big(step, craft)
    return len(" · ".join(_clauses(lines))) > _MANY or len(wording.text(step, craft)) > WORDY


def full(step: Step, craft: Craft, told: str, width: int, height: int) -> bool:
    """Whether big lines and sentence leave a small window no row for what can wait."""
    rows = len(capitals(_clauses(big(step, craft)), width)) + len(wrap(told, max(1, width)))
    return rows > height - (_LITTLE if height < _LOWEST else _ALL_ELSE)


def pages(
    step: Step, craft: Craft, told: str, size: tuple[int, int], taken: int = 0
) -> tuple[str, ...]:
    """The instruction in the rows that the big lines leave it, page by page; mostly one page.

    `size` is the window's, in cells; so many of its rows are `taken` by a mark or an answer. Only
    the smallest windows turn pages: nothing that the hands do is cut there.
    """
    width, height = size
    big_rows, lines = len(capitals(_clauses(big(step, craft)), width)), wrap(told, max(1, width))
    room = height - taken - big_rows - (_FOOT if width < _NARROW else _FOOT + 1)
    if height >= _LOWEST or len(lines) <= room:
        return (told,)
    room = max(1, room)
    return tuple("\n".join(lines[at : at + room]) for at in range(0, len(lines), room))


def _clauses(lines: Big) -> tuple[str, ...]:
    """All the big lines, as plain capitals have them."""
    return (*lines.before, *(one.words for one in lines.row), *lines.after)


def coming_next(state: MakeState, unit: Unit) -> str:
    """The step after this one."""
    after = answers.next_step(state)
    if after is None:
        return "next: nothing, this is the last step"
    return f"next: {in_unit(wording.text(after, state.plan.craft), unit)}"


def ahead(state: MakeState, unit: Unit) -> Content:
    """The next few steps, a heading where another part begins."""
    rows: list[Content] = [Content.styled("coming", "bold")]
    part = state.step.part if state.step else ""
    if answers.next_step(state) is None:
        rows.append(Content("nothing, this is the last step"))
    for step in state.script.steps[state.at + 1 : state.at + 1 + _AHEAD]:
        if step.part != part:
            part = step.part
            rows.append(Content.styled(f"— {part} —", "bold"))
        text = in_unit(wording.text(step, state.plan.craft), unit)
        rows.append(Content(f"{wording.arrow(step.direction) or '·'} {text}"))
    return Content("\n").join(rows)


def marks(state: MakeState, width: int) -> Content:
    """The open marks, as fully as there is room for in `width` cells."""
    if not state.open_marks:
        return Content("")
    named = "; ".join(places.mark_place(mark, state.plan.craft) for mark in state.open_marks)
    count = len(state.open_marks)
    mended = (f"  {key_names(word(Action.REPAIRED).keys)} repaired", "bold")
    many = (f" ◆ {count} open {'mark' if count == 1 else 'marks'} ", "bold reverse")
    brief = (f" ◆ {count} ", "bold reverse")
    for way in ((many, f" {named}", mended), (brief, f" {named}", mended)):
        told = Content.assemble(*way)
        if len(told.plain) <= width:
            return told
    return Content.assemble(brief, f" {named}")


def facts(state: MakeState, since_last_s: float, width: int) -> str:
    """The ball, the rows and the hours, quietly, in as many words as `width` cells have room for.

    `since_last_s` are worked seconds not yet told. A ball that ends soon goes before the rest.
    """
    rows = [step for step in state.script.steps if step.kind in LOOP_KINDS]
    count = f"{sum(step.number <= state.at for step in rows)} of {len(rows)} rows"
    worked, left = duration(state.elapsed + since_last_s), pace.left(state)
    hours, brief = f"worked {worked}", worked
    if left.learned and not state.done:
        hours += f" · about {duration(left.make)} to go"
        brief += f", about {duration(left.make)} to go"
    ball, resting = _yarn(state), ["‖ resting"] if state.paused else []
    ways = [[ball, count, hours], [ball, count, brief]]
    if state.ball_left is None:
        ways += [[count, hours], [count, brief], [count, worked]]
    elif ball.startswith(_BALL.format(state.balls)) and state.ball_left >= 0:
        few = f"{_BALL.format(state.balls)} {state.ball_left} left"
        ways += [[few, count, hours], [few, count, brief]]
        in_ball = f"{state.ball_left} in ball"
        ways += [[count, brief, in_ball], [count, brief.replace("about ", ""), in_ball]]
        ways += [[count, worked, in_ball], [count, worked]]
    else:
        ways += [[ball, count], [ball]]
    told = [" · ".join([*resting, *way]) for way in ways]
    return next((one for one in told if len(one) <= width), told[-1])


def _yarn(state: MakeState) -> str:
    loops = wording.loop_word(state.plan.craft)
    if state.ball_left is None:
        return f"{state.yarn_used} of {state.script.yarn_loops} {loops} worked"
    if state.ball_left < 0:
        key = key_names(word(Action.NEW_BALL).keys)
        return f"ball {state.balls} should be empty: press {key} for a new ball"
    said = f"{_BALL.format(state.balls)} {state.ball_left} of {state.ball_size} {loops} left"
    run_outs = yarn.forecast(state).run_outs
    if not run_outs or run_outs[0].step - state.at > _SOON:
        return said
    first = run_outs[0]
    where = "here" if first.step == state.at + 1 else f"in row {first.row or 'to come'}"
    how = "join a new one before you begin it"
    if not first.join_at_start:
        how = f"after {first.loop} {loops}"
    return f"◆ {said}, it ends {where}: {how}"


def question(talk: Conversation, now: float, unit: Unit) -> str:
    """What stands open, and how long a word can still answer where no key was asked."""
    within = "" if talk.stays else f"  {ceil(talk.left(now))} s"
    return f"? {in_unit(talk.question, unit)}{within}"


def choices(
    state: MakeState, there: tuple[Choice, ...], unit: Unit, room: tuple[int, int] = (0, 0)
) -> Content:
    """The open choices as a list, each with its number and its cost.

    In large letters where `room`, in cells, has the height for all of them.
    """
    head = f"{state.open_verdict.capitalize()}: which way on?"
    large = _choices_from_afar(head, state, there, unit, room[0])
    if large is not None and len(large.plain.split("\n")) <= room[1]:
        return large
    rows = [Content.styled(head, "bold")]
    for choice in there:
        number = Content.styled(f" {choice.number} ", "bold reverse")
        does = Content.styled(f" {answers.capitalised(in_unit(choice.does, unit))}", "bold")
        cost = Content.styled(f"    {answers.cost(choice.cost, state.plan.craft)}", "$quiet")
        tapped = Style.from_meta({"@click": f"screen.choose({choice.number})"})
        rows += [Content.assemble(number, does).stylize(tapped), cost.stylize(tapped)]
    return Content("\n").join(rows)


def _choices_from_afar(
    head: str, state: MakeState, there: tuple[Choice, ...], unit: Unit, width: int
) -> Content | None:
    """The same in letters of three rows, what each costs below it; None where it is too narrow."""
    rows = [Content.styled(head, "bold"), Content("")]
    for choice in there:
        lines = lettered(f"{choice.number}) {in_unit(choice.does, unit)}", width)
        if lines is None:
            return None
        cost = Content.styled(answers.cost(choice.cost, state.plan.craft), "$quiet")
        tapped = Style.from_meta({"@click": f"screen.choose({choice.number})"})
        rows += [line.stylize(tapped) for line in (*lines, cost)]
        rows.append(Content(""))
    return Content("\n").join(rows[:-1])
