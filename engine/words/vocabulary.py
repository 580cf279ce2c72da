"""The one table of actions, keys and phrases.

Voice, keys, the help screen and `spokenrow words` all read it; nothing else lists a command.
The phrases come from a data file per language in `engine/words`.
"""

import tomllib
from functools import cache
from importlib.resources import files

from models.command import Action, Command, Page, PageKey, PageWord, Slot, Word

_TABLE: tuple[tuple[Action, tuple[str, ...], Slot, bool, str], ...] = (
    (Action.ADVANCE, ("space", "enter"), Slot.NONE, False, "this step is done; show the next"),
    (
        Action.TAKE_BACK,
        ("u", "backspace"),
        Slot.NONE,
        False,
        "undo the last action, whatever it was",
    ),
    (Action.DROPPED, ("d",), Slot.WHOLE, False, "mark a dropped or missed loop in this row"),
    (Action.REPAIRED, ("e",), Slot.NONE, False, "the marked loop is mended"),
    (Action.ACCEPT, ("a",), Slot.NONE, True, "leave the marked loop as it is and go on"),
    (Action.RIP_BACK, ("r",), Slot.WHOLE, True, "rip back this many rows"),
    (Action.MEASURED, ("m",), Slot.LENGTH, False, "what the tape says, in your unit"),
    (
        Action.ACROSS,
        ("minus",),
        Slot.LENGTH,
        False,
        "how wide the last rows are, by the tape: your true loops per 10 cm",
    ),
    (Action.MORE_ROWS, ("plus",), Slot.WHOLE, False, "work this many rows more than planned"),
    (Action.FITS, ("f",), Slot.NONE, False, "the fit check is good"),
    (Action.TOO_TIGHT, ("t",), Slot.NONE, False, "the fit check says too tight"),
    (Action.TOO_LOOSE, ("l",), Slot.NONE, False, "the fit check says too loose"),
    (Action.TOO_SHORT, ("h",), Slot.NONE, False, "it does not reach: the part is too short"),
    (Action.CHOOSE, ("c",), Slot.WHOLE, False, "take the choice of this number"),
    (Action.WHERE, ("w",), Slot.NONE, False, "say where the work stands"),
    (Action.SAY_AGAIN, ("s",), Slot.NONE, False, "say the instruction again"),
    (Action.NEW_BALL, ("b",), Slot.NONE, False, "a new ball is joined here"),
    (
        Action.ONLY_BALLS,
        ("equals_sign",),
        Slot.WHOLE,
        False,
        "there are only so many balls: whether they reach, and what to shorten",
    ),
    (Action.YES, ("y",), Slot.NONE, False, "yes, do it"),
    (Action.NO, ("n", "escape"), Slot.NONE, False, "no, leave it"),
    (Action.PAUSE, ("p",), Slot.NONE, False, "put the work down; the clock rests"),
    (Action.RESUME, ("p",), Slot.NONE, False, "take the work up again"),
    (Action.NOTE, ("o",), Slot.NONE, False, "keep a note at this row, written or spoken"),
    (Action.FINISH, ("x",), Slot.NONE, True, "close this make here"),
    (
        Action.STOP_LISTENING,
        ("z",),
        Slot.NONE,
        False,
        "take no words until told to listen",
    ),
    (Action.START_LISTENING, ("z",), Slot.NONE, False, "take words again"),
    (Action.HELP, ("question_mark",), Slot.NONE, False, "show keys and words"),
)

OPTIONAL = frozenset({Action.DROPPED, Action.NEW_BALL})
"""Actions that mean something without their number."""

PAGES = (
    PageKey(page=Page.SHELF, keys=("q",), meaning="lay the make on the shelf; from there, leave"),
    PageKey(page=Page.NEW_MAKE, keys=("n",), meaning="on the shelf: begin a new make"),
    PageKey(
        page=Page.MORE,
        keys=("i",),
        meaning="on the shelf: rename, copy, put away, throw out; sheet, picture, chart, balls",
    ),
    PageKey(page=Page.BEGIN, keys=("ctrl+s",), meaning="in a form: take it as it stands"),
    PageKey(page=Page.JOURNAL, keys=("j",), meaning="read what happened in this make"),
    PageKey(page=Page.PIECE, keys=("v",), meaning="view the whole piece, drawn to scale"),
    PageKey(page=Page.HOW, keys=("k",), meaning="show how the hands do this step"),
    PageKey(
        page=Page.CHANGE,
        keys=("i",),
        meaning="in a make: another gauge, size or measurement for what is still to come",
    ),
    PageKey(
        page=Page.SUMS,
        keys=("slash",),
        meaning="the sums of shaping: tapers, even spreads, crowns, yokes",
    ),
    PageKey(page=Page.PLAY, keys=("full_stop",), meaning="play the last spoken note"),
    PageKey(page=Page.SETTINGS, keys=("g",), meaning="unit, voice, colours and the rest"),
)
"""The keys that turn to a page: they never move a make."""

_SPOKEN = {
    Page.SHELF: "lay the make on the shelf",
    Page.GO_ON: "on the shelf: go on with the make that is lit",
    Page.CLOSE: "close the page, the form or the dialog",
    Page.FURTHER: "scroll down; on the shelf, light the next make",
    Page.EARLIER: "scroll up; on the shelf, light the one before",
    Page.READ_ALOUD: "read out again, as it was before it was silent",
    Page.READ_BRIEFLY: "read out the next step in short",
    Page.READ_EVERYTHING: "read out the whole instruction",
    Page.BE_QUIET: "read nothing out",
    Page.LEAVE: "leave the program; everything is written down",
}
"""What the words for a page do, where it is not what its key does."""

BREATHS: tuple[tuple[Action, ...], ...] = (
    (Action.ADVANCE, Action.ADVANCE),
    (Action.ADVANCE, Action.ADVANCE, Action.ADVANCE),
    (Action.ADVANCE, Action.TAKE_BACK),
    (Action.ADVANCE, Action.NO, Action.TAKE_BACK),
    (Action.ADVANCE, Action.WHERE),
    (Action.ADVANCE, Action.SAY_AGAIN),
    (Action.ADVANCE, Action.NEW_BALL),
    (Action.ADVANCE, Action.PAUSE),
    (Action.ADVANCE, Action.STOP_LISTENING),
    (Action.TAKE_BACK, Action.TAKE_BACK),
    (Action.NEW_BALL, Action.ADVANCE),
)
"""What is said in one breath, each by its first phrase. A no among them only corrects herself."""


@cache
def language_data(language: str = "en") -> dict[str, dict[str, object]]:
    """The word file of a language, parsed. Raises FileNotFoundError for one that is not there."""
    if not language.isalpha():
        raise FileNotFoundError(language)  # a path would lead elsewhere
    text = files("engine.words").joinpath(f"{language}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def languages() -> tuple[str, ...]:
    """The languages that have a word file, by their short names: `en` and others."""
    names = (entry.name for entry in files("engine.words").iterdir())
    return tuple(sorted(name[:-5] for name in names if name.endswith(".toml")))


def language_name(language: str) -> str:
    """A language's name in that language: `English`."""
    return str(language_data(language)["name"])


@cache
def words(language: str = "en") -> tuple[Word, ...]:
    """The table, one line per action, in the order in which help shows it."""
    phrases = language_data(language)["phrases"]
    return tuple(
        Word(
            action=action,
            keys=keys,
            phrases=tuple(phrases.get(action.value, ())),  # type: ignore[arg-type]
            slot=slot,
            confirm=confirm,
            meaning=meaning,
        )
        for action, keys, slot, confirm, meaning in _TABLE
    )


@cache
def page_words(language: str = "en") -> tuple[PageWord, ...]:
    """The words that turn to a page; those of a language that has none are missing."""
    meanings = {line.page: line.meaning for line in PAGES} | _SPOKEN
    return tuple(
        PageWord(page=Page(page), phrases=tuple(map(str, phrases)), meaning=meanings[Page(page)])
        for page, phrases in language_data(language).get("pages", {}).items()
        if isinstance(phrases, list)
    )


@cache
def breaths(language: str = "en") -> tuple[tuple[str, tuple[Action, ...]], ...]:
    """What is said in one breath, and the actions that it means."""
    return tuple(
        (
            " ".join(word(action, language).phrases[0] for action in actions),
            tuple(action for action in actions if action is not Action.NO),
        )
        for actions in BREATHS
    )


def word(action: Action, language: str = "en") -> Word:
    """The line of one action."""
    return next(line for line in words(language) if line.action == action)


def lacks_number(command: Command) -> bool:
    """Whether its number is still to be asked for: "rip back", said alone."""
    wants = word(command.action).slot is not Slot.NONE and command.action not in OPTIONAL
    return wants and command.value is None


def page_key(page: Page) -> PageKey:
    """The line of one page."""
    return next(line for line in PAGES if line.page == page)
