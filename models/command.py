"""What the maker can ask for, by word or by key, and what the ears heard."""

from enum import StrEnum

from models.frozen import Frozen
from models.text import Words


class Action(StrEnum):
    """Everything that a word or a key can do."""

    ADVANCE = "advance"
    TAKE_BACK = "take back"
    DROPPED = "dropped loop"
    REPAIRED = "repaired"
    ACCEPT = "accept mark"
    RIP_BACK = "rip back"
    MEASURED = "measured"
    ACROSS = "across"
    MORE_ROWS = "more rows"
    FITS = "fits"
    TOO_TIGHT = "too tight"
    TOO_LOOSE = "too loose"
    TOO_SHORT = "too short"
    CHOOSE = "choose"
    WHERE = "where am i"
    SAY_AGAIN = "say again"
    NEW_BALL = "new ball"
    ONLY_BALLS = "only balls"
    YES = "yes"
    NO = "no"
    PAUSE = "pause"
    RESUME = "resume"
    NOTE = "note"
    FINISH = "finish"
    STOP_LISTENING = "stop listening"
    START_LISTENING = "start listening"
    HELP = "help"
    TURN = "turn"
    """To a page, or to something else that moves no row: `Command.page` says what."""


class By(StrEnum):
    """How a command came: a word may be somebody else's, a key is hit by a sleeve."""

    WORD = "word"
    KEY = "key"


class Slot(StrEnum):
    """What a phrase's number stands for."""

    NONE = "none"
    WHOLE = "whole"
    """A whole number, 0 to 999: a row count, a loop's place."""
    LENGTH = "length"
    """A measurement, 0 to 999 with a half or one decimal, in the maker's unit."""


class Word(Frozen):
    """One line of the table that voice, keys and the command line share."""

    action: Action
    keys: tuple[str, ...]
    phrases: tuple[str, ...]
    """With `{n}` where a whole number is said and `{m}` where a measurement is."""
    slot: Slot = Slot.NONE
    confirm: bool = False
    """Loses work, so it wants a yes."""
    meaning: str


class Page(StrEnum):
    """What can be turned to, and what else is done around a make: none of it moves a row."""

    SHELF = "shelf"
    NEW_MAKE = "new make"
    MORE = "more"
    BEGIN = "begin"
    JOURNAL = "journal"
    PIECE = "piece"
    HOW = "how"
    CHANGE = "change"
    SUMS = "sums"
    SETTINGS = "settings"
    GO_ON = "go on"
    CLOSE = "close"
    FURTHER = "further"
    EARLIER = "earlier"
    READ_ALOUD = "read aloud"
    READ_BRIEFLY = "read briefly"
    READ_EVERYTHING = "read everything"
    BE_QUIET = "be quiet"
    PLAY = "play"
    LEAVE = "leave"


class PageKey(Frozen):
    """One line of the table's second part."""

    page: Page
    keys: tuple[str, ...]
    meaning: str


class PageWord(Frozen):
    """The words that turn to a page, in one language."""

    page: Page
    phrases: tuple[str, ...]
    meaning: str


class Command(Frozen):
    """An action with its number, whoever gave it."""

    action: Action
    value: float | None = None
    text: Words | None = None
    """Free text, for a note typed at the keyboard."""
    sound: Words = ""
    """The digest of a spoken note's sound, which is kept already."""
    seconds: float = 0.0
    """How long it is."""
    page: Page | None = None
    """What is turned to."""


class Context(StrEnum):
    """What the ears should expect next."""

    ROW = "row"
    """Any row command."""
    NUMBER = "number"
    """A bare number as well: a measurement was asked for."""
    YES_NO = "yes or no"
    """A question stands open."""
    ASLEEP = "asleep"
    """Only the words that wake it."""


class Heard(Frozen):
    """One utterance, as the recogniser and the guard left it. Times in seconds of audio."""

    start_s: float
    end_s: float
    decided_s: float
    heard: Words
    confidence: float
    command: Command | None
    goes_on: bool = False
    """It was said in one breath with the one before, and is withdrawn with it."""
    taken: bool
    reason: Words = ""
    """Why it was refused, asked back or withdrawn; empty when it was taken."""
    asks: bool = False
    """Not counted yet: the reason asks for a yes."""
    withdrawn: bool = False
    """Takes back the one taken just before: its speaker was still talking."""
    called: bool = False
    """It was the attention word alone: what follows is for these ears."""


FAR_TOO_QUICK = 0.5
"""An advance in less than this share of the least time for the row is doubted."""


class Situation(Frozen):
    """What the make expects at this moment; asked for when a decision falls."""

    context: Context = Context.ROW
    question_open: bool = False
    """A question waits for yes or no."""
    step_age_s: float | None = None
    """Seconds since the step now shown began; None if that is not known."""
    least_step_s: float = 0.0
    """The least seconds in which this maker works this step, from her own pace; 0 if unknown."""
    possible: frozenset[Action] | None = None
    """The actions that make sense now; None allows all."""
