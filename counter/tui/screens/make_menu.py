"""What else can be done with a make on the shelf: its name, its place, and papers of it."""

from __future__ import annotations

from os.path import expanduser
from pathlib import Path

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen

from counter.paper.written import PAPERS, content, paper
from counter.shared.filing import write_file
from counter.shared.keys import key_name
from counter.tui.host import Host
from counter.tui.screens.one_line import OneLine
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Choice, Choices, Text
from engine.base.refusal import Refusal
from engine.keep import exchange, shelving
from engine.make import progress
from models.state import MakeState

_EXPORT = "export"


def offers(*, away: bool, out: bool) -> list[tuple[str, str]]:
    """What can be done with a make that lies there, and what that is, said in a line."""
    lines = [("rename", "give it another name"), ("another", "begin another like it")]
    if away or out:
        lines.append(("take back", "put it back on the shelf"))
    if not away:
        lines.append(("put away", "put it away, out of sight"))
    if not out:
        days = shelving.WAY_BACK_DAYS
        lines.append(("throw out", f"throw it out; for {days} days it can be taken back"))
    lines += [(one.name, f"write {one.told}") for one in PAPERS]
    lines.append((_EXPORT, "write all of it, for another machine"))
    return lines


class MakeMenu(ModalScreen[str | None]):
    """One make's menu. Gives what was done, in a sentence."""

    AUTO_FOCUS = "#menu"
    BINDINGS = [("escape,q", "dismiss(None)", "back")]
    app: Host

    def __init__(self, name: str, title: str) -> None:
        super().__init__()
        self._make, self._called = name, title

    def compose(self) -> ComposeResult:
        """What can be done, the title first."""
        lies = shelving.lying(self.app.store)
        lines = offers(away=self._make in lies.away, out=self._make in lies.out)
        with Vertical(id="page"):
            yield Text(Content.styled(self._called, "bold"), classes="head")
            yield Choices(*(Choice(does, id=line) for line, does in lines), id="menu")
        yield KeyLine(
            Offer(key_name("enter"), "do this", loud=True),
            Offer(key_name("escape"), "back", does="screen.dismiss(None)"),
            Offer("↑ ↓", "choose"),
            classes="keys",
        )

    def on_option_list_option_selected(self, event: Choices.OptionSelected) -> None:
        """One was chosen."""
        chosen = str(event.option.id)
        match chosen:
            case "rename":
                self._ask(
                    "What is it called?", "Its rows stay as they are.", self._called, self._rename
                )
            case "another":
                light = "By the same plan, with what was learnt of your gauge; not begun."
                self._ask("What is the new one called?", light, self._called, self._another)
            case "take back" | "put away" | "throw out":
                self._move(chosen)
            case _:
                ending = ".json" if chosen == _EXPORT else paper(chosen).endings[0]
                where = Path.home() / f"{self._make}{'' if chosen == _EXPORT else f'-{chosen}'}"
                others = "" if chosen == _EXPORT else _endings(chosen)
                self._ask(
                    "Into which file?",
                    f"Its folder must be there; a file that is there stays.{others}",
                    f"{where}{ending}",
                    lambda said: self._write(chosen, said),
                )

    def _ask(self, asked: str, light: str, value: str, does: object) -> None:
        assert callable(does)
        self.app.push_screen(OneLine(asked, light, value, does), self._done)

    def _done(self, told: str | None) -> None:
        if told is not None:
            self.dismiss(told)

    def _rename(self, title: str) -> str:
        return f"It is called {title} now ({shelving.rename(self.app.store, self._make, title)})."

    def _another(self, title: str) -> str:
        return f"{title} is on the shelf ({shelving.another(self.app.store, self._make, title)})."

    def _move(self, where: str) -> None:
        store, now = self.app.store, self.app.clock()
        try:
            match where:
                case "put away":
                    shelving.put_away(store, self._make, now)
                    told = f"{self._called} is put away: it stands at the end of the shelf."
                case "throw out":
                    shelving.throw_out(store, self._make, now)
                    told = (
                        f"{self._called} is thrown out: for {shelving.WAY_BACK_DAYS} days it "
                        "stands at the end of the shelf and can be put back."
                    )
                case _:
                    shelving.take_back(store, self._make)
                    told = f"{self._called} is back on the shelf."
        except Refusal as refusal:
            told = f"✗ {refusal}"
        self.dismiss(told)

    def _write(self, what: str, said: str) -> str:
        if not said:
            raise Refusal("Type the name of a file.")
        path = Path(expanduser(said))
        if what == _EXPORT:
            whole: str | bytes = exchange.export_text(self.app.store, self._make)
        else:
            whole = content(what, self._state(), path)
        write_file(path, whole, lambda _: False)
        return f"It is in {path}."

    def _state(self) -> MakeState:
        begun, events = self.app.store.load(self._make)
        return progress.fold(begun, events)


def _endings(chosen: str) -> str:
    endings = paper(chosen).endings
    return f" Its name ends in {' or '.join(endings)}." if len(endings) > 1 else ""
