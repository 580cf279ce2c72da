"""Every capability of the screens through `plain`, by typed words.

What the screens can do is collected from their code: every action and page of the table, every
binding, every field and list, every line of a make's menu, every setting. `WALK` says the line
that does it in `plain` and what comes of it, and is walked. A new key, page, field or setting
without a line here fails.
"""

import ast
import inspect
import re
from importlib import import_module
from pathlib import Path

from textual.binding import Binding
from textual.screen import Screen

import counter.tui.screens
from counter.commandline import main
from counter.paper.written import PAPERS
from counter.shared.demo import demo_making
from counter.shared.setting_lines import LINES
from counter.tui.screens.make_menu import offers
from engine.keep.store import Store
from engine.words.vocabulary import PAGES, page_words, words
from models.command import Action, Page

SCREENS = Path(inspect.getfile(counter.tui.screens)).parent
ASKED_FOR = {"Field", "Pick", "Area", "Choices"}
"""Widgets in which she types or chooses."""
DRAWN = re.compile(r"[\u2500-\u259f\x1b\t]| {2}")
"""Box drawing, codes, tables: nothing of it helps one who listens."""
NEEDLESS = {
    "dismiss": "an answer in lines closes itself; q leaves a question",
    "take": "set keeps a setting at once",
    "read_on": "an instruction is said whole",
    "turn": "all stages of a movement are said at once",
    "end": "a note ends by itself when it was spoken",
    "throw_away": "take back throws it away",
    "press": "the keys of the table, which are walked",
    "turn_to": "the pages, which are walked",
    "choose": "a figure alone is the choice of that number: c 1",
}
"""Bindings of the screens that need no word of their own, and why."""

A, P = (lambda one: f"do {one.value}"), (lambda one: f"page {one.value}")
PASTED = ["Gauge: 20 x 26", "CO 20", "Row 1: k20", "Row 2: mumble 20", "Row 3: k20", "BO", "."]
WALK = [
    # what is typed, what the answer says, and what of the screens it is
    ("?", "paste: begin one from a text", "shelf/makes"),
    ("1", r"Lock keeper's cardigan\. Type a key", P(Page.GO_ON)),
    ("?", "space or enter: this step is done", A(Action.HELP)),
    (" ", "Row 4, left to right", A(Action.ADVANCE)),
    ("u", "Taken back: right front, row 3", A(Action.TAKE_BACK)),
    ("d 2", "Marked at row 3 of the right front, loop 2", A(Action.DROPPED)),
    ("e", "Repaired at row 3", A(Action.REPAIRED)),
    ("dropped loop at three", "Marked at row 3", None),
    ("a", "as it is", A(Action.ACCEPT)),
    ("y", "Left as it is", A(Action.YES)),
    ("r 1", "Rip back 1 row", A(Action.RIP_BACK)),
    ("n", "Left as it was", A(Action.NO)),
    ("m 300", "cannot be", A(Action.MEASURED)),
    ("- 42", "across 5 loops cannot be", A(Action.ACROSS)),
    ("+ 2", "10 rows in all", A(Action.MORE_ROWS)),
    ("f", "nothing to try on", A(Action.FITS)),
    ("t", "nothing to try on", A(Action.TOO_TIGHT)),
    ("l", "nothing to try on", A(Action.TOO_LOOSE)),
    ("h", "Choice 1: .*Choice 2: ", A(Action.TOO_SHORT)),
    ("c 1", "armhole depth", A(Action.CHOOSE)),
    ("w", "Right front, row 3", A(Action.WHERE)),
    ("s", "Row 3, to the left", A(Action.SAY_AGAIN)),
    ("b", "Ball 4", A(Action.NEW_BALL)),
    ("= 90", "balls", A(Action.ONLY_BALLS)),
    ("p", "The work rests", A(Action.PAUSE)),
    ("p", "The break is over", A(Action.RESUME)),
    ("o rain all day", "Noted", A(Action.NOTE)),
    (".", "No note was spoken", P(Page.PLAY)),
    ("z", "I stop listening", A(Action.STOP_LISTENING)),
    ("z", "I am listening", A(Action.START_LISTENING)),
    ("j", "note: .*rain all day", P(Page.JOURNAL)),
    ("v", "Left sleeve: 19 rows", P(Page.PIECE)),
    ("k", "1. The working yarn", P(Page.HOW)),
    ("i", "What has changed", P(Page.CHANGE)),
    ("1", "How many loops in 10 cm", "questions/said"),
    ("q", "Left as it was", P(Page.CLOSE)),
    ("/", "taper 36 over 140", P(Page.SUMS)),
    ("taper 36 over 140", "= 140 rows", "sums/sum"),
    ("g", "Unit: cm", P(Page.SETTINGS)),
    *((f"set {label} {value}", "It is set", f"set {name}") for (name, label, _), value in zip(
        LINES, ("in", "full", "small", "quick", "soft", "English", "careful", "off", "off", "desk",
                "Ada", "light", "off", "left", "30"), strict=True)),
    ("set unit cm", "It is set", "settings/name"),
    ("set leading hand right", "It is set", "form/hand"),
    ("read aloud", "read out", P(Page.READ_ALOUD)),
    ("read briefly", "read out", P(Page.READ_BRIEFLY)),
    ("read everything", "read out", P(Page.READ_EVERYTHING)),
    ("be quiet", "Nothing is read out", P(Page.BE_QUIET)),
    ("further", "nothing to turn", P(Page.FURTHER)),
    ("earlier", "nothing to turn", P(Page.EARLIER)),
    ("x", "before its end", A(Action.FINISH)),
    ("n", "Left as it was", None),
    ("q", "is on the shelf", P(Page.SHELF)),
    # the shelf
    ("another 1 For my sister", "For my sister", "make another"),
    ("rename 1 The second", "The second", "make rename"),
    ("put away 1", "1 make put away", "make put away"),
    ("away", "put away", P(Page.MORE)),
    ("take back 2", "back on the shelf", "make take back"),
    ("throw out 2", "for 30 days", "make throw out"),
    ("sums", "yoke 200", None),
    *(
        (f"{one.name} 1 OUT/{one.name}{one.endings[0]}", "It is in", f"make {one.name}")
        for one in PAPERS
    ),
    ("export 1 OUT/it.json", "It is in", "make export"),
    ("import OUT/it.json", "is here", "pattern_source/file"),
    # a new make: each question is a field of the form
    ("n", "Which design", P(Page.NEW_MAKE)),
    ("scarf", "Width", "new_make/designs"),
    ("6,5", "out of bounds|Length", "new_make/measure-"),
    ("q", "nothing was begun|no word|The shelf|leave", None),
]  # fmt: skip
BEGIN = [
    ("new", "Which design", None),
    ("cardigan", "Size: ", None),
    ("M", "Your gauge", "new_make/size"),
    ("5 x 3,75", "Craft", "new_make/gauge"),
    ("loop yarn", "Stitch pattern: ", "new_make/craft"),
    ("", "Loops in one ball", None),
    ("60", "What is it called", "form/ball"),
    ("Harbour", "Dye lots", "new_make/title"),
    ("nine", "is no two dye lots|Dye lots", None),
    ("9 4", r"60|of the second|Begin it", "form/lots"),
    ("y", r"Harbour\. Type a key", P(Page.BEGIN)),
    ("q", "is on the shelf", None),
    ("new", "Which design", None),
    ("pillow", "Width", None),
    ("", "Height", None),
    ("", "Your gauge", None),
    ("", "Craft: ", None),
    ("", "Stitch pattern: ", None),
    ("moss", "Stripes", "new_make/stitch"),
    ("cream 8, sand 4", "Loops in one ball", "new_make/stripes"),
    ("q", "nothing was begun", None),
    ("numbers", "Which garment", None),
    ("cardigan", "Foundation", "loops_form/garment"),
    ("42", "Body", "loops_form/name"),
    ("", "Front", None),
    ("9 to 5 over 8", "Armhole", None),
    ("4", "Back", None),
    ("18", "Sleeve", None),
    ("25 to 15", "Your gauge", None),
    ("", "Loops in one ball", "loops_form/gauge"),
    ("", "What is it called", None),
    ("By list", "Begin it", "loops_form/title"),
    ("n", "nothing was begun", None),
    ("pattern", "Which file", "pattern_source/files"),
    ("q", "nothing was begun", None),
    ("pattern OUT/several.txt", "Size: S, L", None),
    ("L", "Your gauge", "pattern_form/size"),
    ("", "Loops in one ball", "pattern_form/gauge"),
    ("q", "nothing was begun", None),
    ("paste", "a line with only a", None),
    *((line, "", None) for line in PASTED[:-1]),
    (PASTED[-1], r"Line 4 is not read: Row 2: mumble 20\.", "pattern_source/pasted"),
    ("talk", "does not come out yet: mend line 5", "pattern_form/line-"),
    ("q", "", P(Page.LEAVE)),
]


def classes():
    for path in sorted(SCREENS.glob("*.py")):
        module = import_module(f"counter.tui.screens.{path.stem}")
        for one in vars(module).values():
            if (
                inspect.isclass(one)
                and issubclass(one, Screen)
                and one.__module__ == module.__name__
            ):
                yield one


def fields():
    """`screen/id` of whatever she types into or chooses from."""
    for path in sorted(SCREENS.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            called = isinstance(node, ast.Call) and getattr(node.func, "id", "")
            for word in node.keywords if called in ASKED_FOR else ():
                if word.arg == "id":
                    at = ast.unparse(word.value).removeprefix("f").strip("'").partition("{")[0]
                    yield f"{path.stem}/{at}"


def capabilities():
    yield from (A(line.action) for line in words())
    yield from (P(line.page) for line in (*PAGES, *page_words()))
    yield from (f"set {name}" for name, *_ in LINES)
    for away, out in ((True, False), (False, True), (False, False)):
        yield from (f"make {line}" for line, _ in offers(away=away, out=out))
    yield from set(fields()) - {"make_menu/menu"}


def test_everything_that_the_screens_can_do_has_a_line_in_plain():
    done = {what for *_, what in (*WALK, *BEGIN) if what}
    assert sorted(set(capabilities()) - done) == []
    assert sorted(done - set(capabilities()) - {"pattern_form/line-"}) == []


def test_every_binding_of_a_screen_is_of_the_table_or_needs_no_line():
    for screen in classes():
        for binding in Binding.make_bindings(vars(screen).get("BINDINGS", ())):
            action = re.split(r"[(.]", binding.action)[0]
            assert action in NEEDLESS, f"{screen.__name__}: {binding.key} does {binding.action}"


class Typed:
    """Standard input that notes what was answered to each line."""

    def __init__(self, lines, heard):
        self.lines, self.heard, self.answers = lines, heard, []

    def isatty(self):
        return False

    def __iter__(self):
        self.heard()
        for line in self.lines:
            yield f"{line}\n"
            self.answers.append(self.heard())


def test_each_line_does_it_and_answers_in_plain_lines(tmp_path, capsys, monkeypatch):
    with Store(tmp_path / "makes.db") as store:
        made = demo_making()
        store.create("mine", made.begun)
        store.append("mine", made.events)
    (tmp_path / "several.txt").write_text(
        "Sizes: S (L)\nGauge: 20 x 26\nCO 20 (24)\nRow 1: k20 (24)\nBO\n"
    )
    monkeypatch.setattr("pathlib.Path.home", lambda: tmp_path)
    walk = [(line.replace("OUT", str(tmp_path)), says) for line, says, _ in (*WALK, *BEGIN)]
    typed = Typed([line for line, _ in walk], lambda: capsys.readouterr().out)
    monkeypatch.setattr("sys.stdin", typed)
    assert main(["--data", str(tmp_path), "plain"]) == 0
    typed.answers.append(capsys.readouterr().out)
    assert len(typed.answers) == len(walk)
    found = zip(walk, typed.answers, strict=True)
    assert [(line, told) for (line, says), told in found if not re.search(says, told, re.S)] == []
    for told in "".join(typed.answers).splitlines():
        assert told.strip()
        assert not DRAWN.search(told)


def test_a_pasted_list_by_size_asks_which(tmp_path, capsys, monkeypatch):
    numbers = [
        "Sizes: S (M, L)", "Foundation 42 (46, 50)", "Fronts 9 (10, 11) to 5 (6, 6) over 8 (8, 10)",
        "Bind 4", "Back 18 (20, 22)", "Sleeve 25 (25, 29) to 15", ".",
    ]  # fmt: skip
    typed = Typed(
        ["paste", *numbers, "M", "5 x 3.75", "", "y", "q"], lambda: capsys.readouterr().out
    )
    monkeypatch.setattr("sys.stdin", typed)
    assert main(["--data", str(tmp_path), "plain"]) == 0
    typed.answers.append(capsys.readouterr().out)
    assert any("Size: S, M, L?" in answer for answer in typed.answers)
    with Store(tmp_path / "makes.db") as store:
        (name,) = store.names()
        plan = store.load(name)[0].plan
    assert plan.size == "M"
