"""How well a voice model knows the words of a language, and which model to listen with.

A Vosk model does not say what language it is of: the words that it knows do.
"""

from pathlib import Path

from engine.base.refusal import Refusal
from engine.ears import voices
from engine.ears.recogniser import ModelError, known_words, missing_words, starter_dir
from engine.words.grammar import attention, no_attention, vocabulary
from engine.words.vocabulary import language_name, languages
from models.frozen import Frozen

_BY_PIP = {"ko": "korean"}
"""The extra that brings a model of a language."""
_SHOWN = 8
"""Words named in a sentence; a model that lacks more is the wrong one anyway."""


class Fluency(Frozen):
    """A voice model beside the word file of a language."""

    folder: Path
    language: str
    missing: tuple[str, ...] = ()
    """The command words that the model does not know."""

    @property
    def speaks(self) -> bool:
        """Whether the model is of this language: it knows more of the words than it lacks."""
        return 2 * len(self.missing) < len(vocabulary(self.language))

    @property
    def told(self) -> str:
        """What it cannot hear, in one sentence; empty where it hears everything."""
        if not self.missing:
            return ""
        more = len(self.missing) - _SHOWN
        return (
            f"The voice model in {self.folder} does not know {', '.join(self.missing[:_SHOWN])}"
            f"{f' and {more} more words' if more > 0 else ''}: what is said with them is not "
            "heard; the keys work."
        )

    @property
    def cannot_call(self) -> str:
        """Why it cannot wait for the attention word, in one sentence; empty where it can."""
        if trouble := no_attention(self.language):
            return trouble
        lacking = sorted(set(attention(self.language)) & set(self.missing))
        if not lacking:
            return ""
        return (
            f"This voice model does not know {', '.join(lacking)}, so it cannot wait for "
            f"“{' '.join(attention(self.language))}”: use another model, or do without the "
            "attention word."
        )


def model_for(language: str, data: Path, given: Path | None = None) -> Fluency:
    """The voice model to hear a language with: the one given, or the best of those here.

    Raises Refusal where none speaks it, ModelError (one too) where the given one, or the only one
    that might, cannot be read.
    """
    if given is not None:
        found = Fluency(
            folder=given, language=language, missing=tuple(missing_words(given, language))
        )
        if not found.speaks:
            raise Refusal(
                f"The voice model in {given} does not speak {language_name(language)}: give "
                "another with --model, or choose other words."
            )
        return found
    best: Fluency | None = None
    broken: ModelError | None = None
    for folder in models(data):
        try:
            missing = tuple(missing_words(folder, language))
        except ModelError as error:
            broken = broken or error
            continue
        one = Fluency(folder=folder, language=language, missing=missing)
        if not missing:
            return one
        if one.speaks and (best is None or len(missing) < len(best.missing)):
            best = one
    if best is not None:
        return best
    raise broken or Refusal(_none_speaks(language, data))


def models(data: Path) -> list[Path]:
    """The folders of every voice model here: the starter, the fetched ones, those of packages."""
    return [starter_dir(), *voices.installed(data), *voices.packaged()]


def spoken_by(folder: Path) -> list[str]:
    """The languages with a word file that a model speaks. Raises ModelError."""
    known = known_words(folder)  # read once: a large model takes a second
    found = (
        Fluency(folder=folder, language=language, missing=tuple(vocabulary(language) - known))
        for language in languages()
    )
    return [one.language for one in found if one.speaks]


def _none_speaks(language: str, data: Path) -> str:
    extra = f"pip install 'spokenrow[{_BY_PIP[language]}]', or " if language in _BY_PIP else ""
    return (
        f"No voice model here speaks {language_name(language)}: {extra}put a Vosk model of it "
        f"into {voices.voices_folder(data)}, or name one with --model."
    )
