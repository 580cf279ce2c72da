"""Every screen of the app, and everything that lies over one."""

from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

from textual.command import CommandPalette
from textual.pilot import Pilot, WaitForScreenTimeout
from textual.screen import Screen
from textual.widgets import Input, OptionList, Static

from counter.shared.beginning import Beginning
from counter.shared.settings import Settings
from counter.tui.app import SpokenrowApp
from counter.tui.screens.ask import Ask
from counter.tui.screens.help import HelpScreen
from counter.tui.screens.how import HowScreen
from counter.tui.screens.journal import JournalScreen
from counter.tui.screens.loops_form import LoopsForm
from counter.tui.screens.make_menu import MakeMenu
from counter.tui.screens.new_make import MakeForm, NewMake
from counter.tui.screens.one_line import OneLine
from counter.tui.screens.pattern_form import PatternForm
from counter.tui.screens.pattern_source import PatternSource
from counter.tui.screens.piece import PieceScreen
from counter.tui.screens.questions import Questions
from counter.tui.screens.row import RowScreen
from counter.tui.screens.settings import SettingsScreen
from counter.tui.screens.shelf import Shelf
from counter.tui.screens.sums import SumsScreen
from counter.tui.screens.take_over import TakeOver
from engine.base.refusal import Refusal
from engine.keep.exchange import import_text
from engine.keep.store import Store
from engine.pattern.check import check_pattern
from models.command import Action, Command, Heard
from tests.faults.hostile import makes
from tests.faults.hostile.marks import Shown, faults
from tests.faults.hostile.texts import Supply

ASKING = (Action.DROPPED, Action.MEASURED, Action.MORE_ROWS, Action.NOTE, Action.RIP_BACK)
PAUSES = 20
"""So often a screen is looked at before a text counts as lost."""


@asynccontextmanager
async def opened(folder: Path) -> AsyncIterator[tuple[SpokenrowApp, Pilot[int]]]:
    """The app on an empty shelf."""
    folder.mkdir(parents=True, exist_ok=True)
    with Store(folder / "makes.db") as store:
        app = SpokenrowApp(store, folder / "settings.json", clock=lambda: makes.BEGAN + 200)
        async with app.run_test(size=(140, 60)) as pilot:
            await _until(pilot, lambda: isinstance(app.screen, Shelf))
            yield app, pilot


async def _until(pilot: Pilot[int], there: Callable[[], bool]) -> None:
    """Waits for it on a machine that is busy. Raises WaitForScreenTimeout where it never comes."""
    for _ in range(50 * PAUSES):
        if there():
            return
        await pilot.pause(0.01)
    raise WaitForScreenTimeout


def _heard(text: str, reason: str) -> Heard:
    return Heard(
        start_s=0, end_s=1, decided_s=1, heard=text, confidence=0.5, command=None, taken=False,
        reason=reason,
    )  # fmt: skip


async def screens(app: SpokenrowApp, pilot: Pilot[int], texts: Supply) -> AsyncIterator[Shown]:
    """Fills and shows them one after the other."""
    for part in (_row, _forms, _lines, _over, _shelf):
        async for shown in part(app, pilot, texts):
            yield shown


async def _row(app: SpokenrowApp, pilot: Pilot[int], texts: Supply) -> AsyncIterator[Shown]:
    """The make on the table, and its own pages."""
    work, said = makes.hostile_work(texts)
    state = work.state
    await app.push_screen(RowScreen(work))
    note = said["step note"]
    if len(capital := note[0].upper()) == 1:
        note = capital + note[1:]  # a note is a sentence of its step
    yield await _seen(app, pilot, "row", [said["title"], said["part"], note])
    row = app.row_screen
    assert row is not None
    lost, reason = texts.take(), texts.take()
    row.hear(_heard(lost, reason))
    yield await _seen(app, pilot, "row, what was heard", [lost, reason])
    row.tell(told := texts.take())
    yield await _seen(app, pilot, "row, what the ears lack", [told])
    row.do(Command(action=Action.WHERE))
    yield await _seen(app, pilot, "row, an answer", [said["part"]])
    row.do(Command(action=Action.RIP_BACK, value=1))
    yield await _seen(app, pilot, "row, a question", [said["title"]])
    for action in ASKING:
        typed = texts.take()
        ask = Ask(action, state, app.settings)
        await app.push_screen(ask)
        field = ask.query_one(Input)
        field.type, field.value = "text", typed
        if action is Action.MEASURED:
            ask.action_take()
        yield await _seen(app, pilot, f"ask, {action.value}", [field.value])
        app.pop_screen()
    await app.push_screen(JournalScreen(work))
    yield await _seen(app, pilot, "journal", [said["title"], said["part"], said["note"]])
    app.pop_screen()
    told = (("piece", PieceScreen(state)), ("help", HelpScreen()), ("how", HowScreen(state)))
    for name, screen in told:
        await app.push_screen(screen)
        yield await _seen(app, pilot, name, [])
        app.pop_screen()
    app.pop_screen()


async def _forms(app: SpokenrowApp, pilot: Pilot[int], texts: Supply) -> AsyncIterator[Shown]:
    """What is filled in."""
    person, device = texts.take(60), texts.take()
    known = Settings(person=person, microphone=device)
    await app.push_screen(SettingsScreen(known, [texts.take() for _ in range(3)]))
    yield await _seen(app, pilot, "settings", [known.microphone])
    app.screen.query_one("#microphone").action_show_overlay()  # type: ignore[attr-defined]
    yield await _seen(app, pilot, "settings, microphones", [known.microphone])
    app.pop_screen()
    pattern = f"CO 5\nRow 1: k5\n{texts.take()}"
    read = PatternForm(pattern, texts.take(), check_pattern(pattern))
    for form in (MakeForm("throw"), LoopsForm(), PatternSource(), read):
        await app.push_screen(form)
        for field in form.query(Input):
            field.value = texts.take()
        form.action_turn_to("begin")
        yield await _seen(app, pilot, type(form).__name__, [])
        app.pop_screen()
    await app.push_screen(NewMake())
    yield await _seen(app, pilot, "designs", [])
    app.pop_screen()


async def _lines(app: SpokenrowApp, pilot: Pilot[int], texts: Supply) -> AsyncIterator[Shown]:
    """Pages that take one line and tell of it."""
    await app.push_screen(MakeMenu("nothing", called := texts.take()))
    yield await _seen(app, pilot, "make menu", [called])
    app.pop_screen()

    def refuse(line: str) -> str:
        raise Refusal(f"There is no {line}.")

    asked, light = texts.take(), texts.take()
    for name, screen in (
        ("one line", OneLine(asked, light, texts.take(), refuse)),
        ("sums", SumsScreen()),
        ("questions", Questions(asked, Beginning(), refuse)),  # type: ignore[arg-type]
    ):
        await app.push_screen(screen)
        field = screen.query_one(Input)
        field.value = texts.take()
        screen.action_take()
        if name == "questions":
            screen._refuse(light)
        yield await _seen(app, pilot, name, [asked, light] if name == "one line" else [])
        app.pop_screen()


async def _over(app: SpokenrowApp, pilot: Pilot[int], texts: Supply) -> AsyncIterator[Shown]:
    """What lies over a screen."""
    await app.push_screen(TakeOver(holder := texts.take()))
    yield await _seen(app, pilot, "take over", [holder])
    app.pop_screen()
    app.notify(notice := texts.take(), title=texts.take(), markup=True)
    yield await _seen(app, pilot, "notice", [], toast=notice)
    app.clear_notifications()
    app.action_command_palette()
    await pilot.pause()
    if isinstance(app.screen, CommandPalette):
        app.screen.query_one(Input).value = texts.take()
        yield await _seen(app, pilot, "palette", [])
        await pilot.press("escape")
        await pilot.pause()
        if isinstance(app.screen, CommandPalette):  # the first one only emptied its list
            await pilot.press("escape")
        await _until(pilot, lambda: isinstance(app.screen, Shelf))


async def _shelf(app: SpokenrowApp, pilot: Pilot[int], texts: Supply) -> AsyncIterator[Shown]:
    """The makes, and what the app has to tell at its start."""
    text, said = makes.exported(texts)
    for name in app.store.names():
        app.store.release(name)
    import_text(app.store, text, f"make-{texts.given}")
    app._no_ears = lack = texts.take()
    await _until(pilot, lambda: isinstance(app.screen, Shelf))
    shelf = app.screen
    assert isinstance(shelf, Shelf)
    shelf.fill()
    for _ in range(3):
        await pilot.pause()
    prompts = [str(option.prompt) for option in app.screen.query_one(OptionList).options]
    yield await _seen(app, pilot, "shelf", [lack, said["title"]], more=prompts)


def _words(screen: Screen[object]) -> list[str]:
    lines = [str(line.content) for line in screen.walk_children(Static)]
    return [*lines, *(field.value for field in screen.walk_children(Input))]


async def _seen(
    app: SpokenrowApp,
    pilot: Pilot[int],
    place: str,
    said: list[str],
    *,
    toast: str = "",
    more: Sequence[str] = (),
) -> Shown:
    """What stands on the screen, and whether anything in it can be pressed that was not ours."""
    for _ in range(PAUSES):
        await pilot.pause()
        screen: Screen[object] = app.screen
        read = "\n".join([*_words(screen), *more])
        if not faults(Shown(place, "", said, read)):
            break  # a busy machine fills a screen in its own time
    strips = screen._compositor.render_strips()
    out = "\n".join(strip.text for strip in strips)
    odd = []
    for strip in strips:
        for segment in strip:
            act = (segment.style.meta if segment.style else {}).get("@click", "")
            link = segment.style.link if segment.style else None
            if link or (act and not str(act).startswith("screen.")):
                odd.append(f"{segment.text!r} can be pressed: {link or act}")
    if app._exception is not None:
        odd.append(f"the app ended: {app._exception!r}")
    if toast:
        read, said = out, []
    return Shown(place, out, said, read, odd)
