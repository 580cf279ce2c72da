"""What rehearsals taught: one small file, a profile for each person and microphone.

It holds numbers and words, never sound.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from pydantic import ValidationError

from engine.base.files import replace
from engine.ears.guard import BOUNDS, Bounds, Sensitivity
from engine.ears.hers import Timbre
from engine.ears.rehearsal import TIMES, Try, judge_tries, voice_of
from models.frozen import Frozen
from models.text import Words

_LARGEST = 2**20
_USUAL = "the usual"


class Profile(Frozen):
    """The tries of one person at one microphone, in the words of one language."""

    person: Words
    microphone: Words
    language: str = "en"
    tries: tuple[Try, ...]
    voice: Timbre = Timbre()
    """How that person sounds, in those tries that went right."""


class Profiles(Frozen):
    """All of them."""

    profiles: tuple[Profile, ...] = ()

    def of(self, person: str, microphone: str | None, language: str = "en") -> Profile | None:
        """That person's at that microphone; empty names mean the usual ones."""
        key = _key(person, microphone, language)
        return next((p for p in self.profiles if (p.person, p.microphone, p.language) == key), None)

    def with_tries(
        self,
        person: str,
        microphone: str | None,
        tries: tuple[Try, ...],
        language: str = "en",
    ) -> Profiles:
        """The same with these tries in place of earlier ones of the same phrases.

        A phrase that was not said to the end keeps its earlier tries beside the new ones.
        """
        had = self.of(person, microphone, language)
        said = Counter(t.phrase for t in tries)
        anew = {phrase for phrase, times in said.items() if times >= TIMES}
        kept = tuple(t for t in had.tries if t.phrase not in anew) if had else ()
        name, device, language = _key(person, microphone, language)
        voice = voice_of(tries, language)
        if had and not voice.known:  # a phrase or two are said again
            voice = had.voice.and_also(voice)
        mine = Profile(
            person=name, microphone=device, language=language, tries=kept + tries, voice=voice
        )
        return Profiles(profiles=(*(p for p in self.profiles if p is not had), mine))


def profiles_path(settings: Path) -> Path:
    """The file, beside that of the settings."""
    return settings.with_name("voices.json")


def load(path: Path) -> tuple[Profiles, str]:
    """The profiles, and what was wrong with the file in one sentence (empty for nothing)."""
    try:
        with path.open("rb") as file:
            return Profiles.model_validate_json(file.read(_LARGEST)), ""
    except FileNotFoundError:
        return Profiles(), ""
    except (OSError, ValidationError):
        return Profiles(), (
            f"The rehearsed voices in {path} cannot be read: the usual bounds are used; rehearse "
            "again or delete the file."
        )


def save(path: Path, profiles: Profiles) -> str:
    """Writes the profiles; gives what went wrong in one sentence, empty for nothing."""
    try:
        replace(path, f"{profiles.model_dump_json(indent=1)}\n".encode())
    except OSError as error:
        return f"The rehearsal cannot be kept in {path.parent} ({error.strerror}): free it."
    return ""


def bounds_for(
    profiles: Profiles,
    person: str,
    microphone: str | None,
    otherwise: Sensitivity,
    language: str = "en",
    *,
    mine: bool = False,
) -> Sensitivity | Bounds:
    """The bounds fitted to that person, or what is given where she has not rehearsed.

    With `mine` only her own voice counts: the one she rehearsed with, or that of the first commands
    that are taken.
    """
    found = profiles.of(person, microphone, language)
    if found is None:
        return BOUNDS[otherwise].model_copy(update={"voice": Timbre()}) if mine else otherwise
    bounds = judge_tries(found.tries, otherwise, language).bounds
    return bounds.model_copy(update={"voice": found.voice}) if mine else bounds


def _key(person: str, microphone: str | None, language: str) -> tuple[str, str, str]:
    name, device = person.strip().lower(), (microphone or "").strip().lower()
    return name or _USUAL, device or _USUAL, language
