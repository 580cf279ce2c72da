"""The maker's settings: one small file in the configuration folder."""

import json
from enum import StrEnum
from pathlib import Path

import platformdirs
from pydantic import Field, ValidationError, field_validator

from engine.base.files import replace
from engine.base.numbers import CM_PER_INCH
from engine.ears.guard import Sensitivity
from engine.words.vocabulary import languages
from models.frozen import Frozen
from models.script import Hand
from models.text import Words

_LARGEST = 2**16


class Unit(StrEnum):
    """What she measures in."""

    CM = "cm"
    INCH = "in"

    @property
    def cm(self) -> float:
        """Centimetres in one of it."""
        return 1.0 if self is Unit.CM else CM_PER_INCH


class Readback(StrEnum):
    """How much is read out."""

    OFF = "off"
    SHORT = "short"
    FULL = "full"


class Look(StrEnum):
    """The colours."""

    DARK = "dark"
    LIGHT = "light"


class Reader(StrEnum):
    """Who reads out."""

    NATURAL = "natural"
    """Where the extra is installed; else the small one."""
    SMALL = "small"


class Pace(StrEnum):
    """How quickly it is read out."""

    SLOW = "slow"
    EVEN = "even"
    QUICK = "quick"

    @property
    def times(self) -> float:
        """So many times the voice's own pace."""
        return {Pace.SLOW: 0.8, Pace.EVEN: 1.0, Pace.QUICK: 1.25}[self]


class Loudness(StrEnum):
    """How loudly it is read out, and how loud the tones are."""

    SOFT = "soft"
    EVEN = "even"
    FULL = "full"

    @property
    def gain(self) -> float:
        """What samples are multiplied by: 12 and 6 dB below full."""
        return {Loudness.SOFT: 0.25, Loudness.EVEN: 0.5, Loudness.FULL: 1.0}[self]


class Settings(Frozen):
    """Everything that can be set; all of it has a sane default."""

    unit: Unit = Unit.CM
    readback: Readback = Readback.OFF
    speaker: Reader = Reader.NATURAL
    pace: Pace = Pace.EVEN
    loudness: Loudness = Loudness.FULL
    language: str = "en"
    """The word file that is listened to, by its short name."""
    sensitivity: Sensitivity = Sensitivity.EVEN
    reminder_minutes: int = Field(default=30, ge=0, le=240)
    """Minutes of work after which a rest is proposed; 0 for never."""
    look: Look = Look.DARK
    large: bool = False
    """Large type: the instruction and the row, and little else."""
    attention: bool = False
    """Whether the attention word must come before every command."""
    mine: bool = False
    """Whether only the maker's own voice counts."""
    microphone: Words = Field(default="", max_length=200)
    """A microphone's name or a part of it; empty for the system's own choice."""
    person: Words = Field(default="", max_length=60)
    """Whose rehearsed voice the ears go by; empty for the usual one."""
    hand: Hand = Hand.RIGHT
    """The leading hand, for a new make."""

    @field_validator("language")
    @classmethod
    def _has_words(cls, value: str) -> str:
        if value not in languages():
            raise ValueError(f"there is no word file {value!r}")
        return value


class Asked(Frozen):
    """What a command line asks of the ears; None where it asks nothing."""

    language: str | None = None
    sensitivity: Sensitivity | None = None
    attention: bool | None = None
    mine: bool | None = None
    person: Words | None = None
    microphone: Words | None = None

    def over(self, settings: Settings) -> Settings:
        """The settings with what was asked in their place."""
        return settings.model_copy(update=self.model_dump(exclude_none=True))


def settings_path(folder: Path | None = None) -> Path:
    """The file; in `folder`, or in the user's own configuration folder."""
    own = Path(platformdirs.user_config_dir("spokenrow", appauthor=False))
    return (folder or own) / "settings.json"


def load(path: Path) -> tuple[Settings, str]:
    """The settings, and what was wrong with the file in one sentence (empty for nothing).

    A broken file costs the settings, never the start: the defaults are used and the file is left
    as it is until something is set anew.
    """
    try:
        with path.open("rb") as file:
            content = file.read(_LARGEST)  # a file that is larger is not ours, and no JSON when cut
        return Settings.model_validate_json(content), ""
    except FileNotFoundError:
        return Settings(), ""
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "its text"
        return Settings(), (
            f"The settings in {path} are not understood ({where}): the usual ones are used; set "
            "them again or delete the file."
        )
    except (OSError, UnicodeDecodeError):
        return Settings(), (
            f"The settings in {path} cannot be read: the usual ones are used; delete the file or "
            "make it readable."
        )


def save(path: Path, settings: Settings) -> str:
    """Writes the settings; gives what went wrong in one sentence, empty for nothing."""
    text = json.dumps(settings.model_dump(mode="json"), indent=1)
    try:
        replace(path, f"{text}\n".encode())
    except OSError as error:
        return f"The settings cannot be kept in {path.parent} ({error.strerror}): free it."
    return ""
