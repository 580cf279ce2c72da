"""Where a written pattern comes from: pasted, or out of a file. An exported make comes in here."""

from __future__ import annotations

from os.path import expanduser
from pathlib import Path

from textual import work
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.keys import key_name
from counter.shared.pasted import read_pasted
from counter.shared.pattern_files import found, is_export
from counter.shared.written import pattern_text
from counter.tui.host import Host
from counter.tui.keys import page_bindings
from counter.tui.screens.pattern_form import PatternForm
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Area, Choice, Choices, Field, Text
from engine.base.refusal import Refusal
from engine.keep.exchange import import_text, read_file
from engine.pattern.text.read import BYTES_AT_MOST
from engine.words.vocabulary import page_key
from models.command import Page
from models.pattern import PatternCheck
from models.text import legible_lines

_READ = key_name(page_key(Page.BEGIN).keys[0])


class PatternSource(ModalScreen[str | None]):
    """Paste it, name a file or pick one. Gives the name of the make begun or taken in."""

    AUTO_FOCUS = "#pasted"
    BINDINGS = [("escape", "dismiss(None)", "back"), *page_bindings(Page.BEGIN)]
    app: Host

    def __init__(self) -> None:
        super().__init__()
        self._files: list[Path] = []

    def compose(self) -> ComposeResult:
        """The paper to paste on, a line for a name, the files that are there."""
        with Vertical(id="source"):
            yield Text(Content.styled("Paste the pattern here", "bold"))
            yield Area(id="pasted")
            yield Text(Content.styled("or name its file", "bold"))
            yield Field("", placeholder="name or path; an exported make, too", id="file")
            yield Text(Content.styled("or pick one", "bold"), id="pick-head")
            yield Choices(id="files")
        yield Text(id="refusal")
        yield KeyLine(
            Offer(_READ, "read it", does="screen.turn_to('begin')", loud=True),
            Offer(key_name("escape"), "back", does="screen.dismiss(None)"),
            Offer("tab", "next line", "next"),
            classes="keys",
        )

    def on_mount(self) -> None:
        """The files, as they are found."""
        self.query_one("#refusal").display = False
        self._files = found()
        names = [str(path).replace(str(Path.home()), "~", 1) for path in self._files]
        files = self.query_one("#files", Choices)
        files.add_options([Choice(name, id=str(i)) for i, name in enumerate(names)])
        files.display = self.query_one("#pick-head").display = bool(names)

    def on_option_list_option_selected(self, event: Choices.OptionSelected) -> None:
        """A file was picked."""
        self._take(self._files[int(str(event.option.id))])

    def on_area_nothing_copied(self) -> None:
        """Ctrl+V, which only a browser takes for pasting."""
        self._say("• Your terminal pastes by its own keys: mostly ctrl+shift+v, or shift+insert.")

    def on_input_submitted(self) -> None:
        """Enter behind a name."""
        self.action_turn_to(Page.BEGIN.value)

    def action_turn_to(self, page: str) -> None:
        """Read what is there: what was pasted, or else the file that is named."""
        if page != Page.BEGIN:
            return
        pasted, named = self.query_one(Area).text, self.query_one(Field).value.strip()
        if pasted.strip():
            self._read_text(pasted, "pasted pattern")
        elif named:
            self._take(Path(expanduser(named)))
        else:
            self._say("✗ Paste a pattern, or name a file.")

    def _take(self, path: Path) -> None:
        try:
            if is_export(path):
                self.dismiss(import_text(self.app.store, read_file(path)))
            else:
                self._read_text(pattern_text(path), path.stem)
        except Refusal as refusal:
            self._say(f"✗ {refusal}")

    def _read_text(self, text: str, name: str) -> None:
        if len(text.encode("utf-8", "replace")) > BYTES_AT_MOST:
            self._say(f"✗ This is larger than {BYTES_AT_MOST // 1000} kB: that is no pattern.")
            return
        self._say("Reading it…")
        self._read(legible_lines(text), name)

    @work(thread=True, exclusive=True)
    def _read(self, text: str, name: str) -> None:
        """A long pattern takes seconds: the screen goes on meanwhile."""
        try:
            checked = read_pasted(text)
        except Refusal as refusal:
            self.app.call_from_thread(self._say, f"✗ {refusal}")
        else:
            self.app.call_from_thread(self._show, text, name, checked)

    def _show(self, text: str, name: str, checked: PatternCheck) -> None:
        self._say("")
        if self.app.screen is self:
            self.app.push_screen(PatternForm(text, name, checked), self._begun)

    def _begun(self, name: str | None) -> None:
        if name is not None:
            self.dismiss(name)

    def _say(self, said: str) -> None:
        line = self.query_one("#refusal", Text)
        line.display = bool(said)
        line.update(said)
