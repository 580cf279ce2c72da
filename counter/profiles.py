"""What rehearsals taught: one small file, a profile for each person and microphone.

It holds numbers and words, never sound.
"""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from engine.ears.guard import Bounds, Sensitivity
from engine.ears.rehearsal import Try, judge_tries
from models.frozen import Frozen

_LARGEST = 2**20
_USUAL = "the usual"


class Profile(Frozen):
    """The tries of one person at one microphone."""

    person: str
    microphone: str
    tries: tuple[Try, ...]


class Profiles(Frozen):
    """All of them."""

    profiles: tuple[Profile, ...] = ()

    def of(self, person: str, microphone: str | None) -> Profile | None:
        """That person's at that microphone; empty names mean the usual ones."""
        key = _key(person, microphone)
        return next((p for p in self.profiles if (p.person, p.microphone) == key), None)

    def with_tries(self, person: str, microphone: str | None, tries: tuple[Try, ...]) -> Profiles:
        """The same with these tries in place of earlier ones of the same phrases."""
        had = self.of(person, microphone)
        anew = {t.phrase for t in tries}
        kept = tuple(t for t in had.tries if t.phrase not in anew) if had else ()
        name, device = _key(person, microphone)
        mine = Profile(person=name, microphone=device, tries=kept + tries)
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
    fresh = path.with_suffix(".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_text(profiles.model_dump_json(indent=1) + "\n", encoding="utf-8")
        fresh.replace(path)  # a crash leaves the old file or the new one, never half of one
    except OSError as error:
        return f"The rehearsal cannot be kept in {path.parent} ({error.strerror}): free it."
    return ""


def bounds_for(
    profiles: Profiles,
    person: str,
    microphone: str | None,
    otherwise: Sensitivity | Bounds,
) -> Sensitivity | Bounds:
    """The bounds fitted to that person, or what is given where she has not rehearsed."""
    found = profiles.of(person, microphone)
    if found is None or isinstance(otherwise, Bounds):
        return otherwise
    return judge_tries(found.tries, otherwise).bounds


def _key(person: str, microphone: str | None) -> tuple[str, str]:
    return person.strip().lower() or _USUAL, (microphone or "").strip().lower() or _USUAL
