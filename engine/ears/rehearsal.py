"""What a rehearsal shows: which phrases are safe with this voice in this room.

Pure. A maker says each phrase a few times; what the recogniser made of each try goes in, and out
come a verdict per phrase and the guard's bounds fitted to her. Bounds move only between what the
chosen sensitivity asks for and the eager ones, never beyond; and a phrase that another was taken
for asks to be surer than that mistake was, whatever else was learned.
"""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import Field

from engine.ears.evidence import Evidence
from engine.ears.guard import BOUNDS, Bounds, Outcome, Sensitivity, judge
from engine.ears.hers import Timbre
from engine.words.phrases import phrase_book
from engine.words.vocabulary import page_words, words
from models.command import Action, Command, Context, Situation
from models.frozen import Frozen

TIMES = 3
"""How often each phrase is said."""
_EXAMPLES = {"{n}": "three", "{m}": "forty point five"}
_LEEWAY = 0.05
"""Less sure than the least sure of the right tries by this is still the same voice."""
_LEEWAY_DB = 2.0
_ABOVE_MISTAKE = 0.02
_UNCLEAR = "not heard clearly enough"
_ENOUGH = 2 / 3
"""This share of the tries must be taken."""


class Try(Frozen):
    """One try of a phrase: numbers and the words it was taken for, never sound."""

    phrase: str
    """What was to be said, with an example where the phrase has a number."""
    heard: str = ""
    """What it was taken for; empty for nothing."""
    confidence: float = 0.0
    """0 to 1."""
    clear_db: float = 0.0
    """Louder than the room by this, less what a restless room takes."""
    fault: str = ""
    """Why the guard would refuse it even at its readiest; empty where it would not."""
    evidence: Evidence | None = None
    """What the guard would judge it on; None in profiles of earlier releases."""
    voice: Timbre | None = Field(default=None, exclude=True)
    """Whose voice said it; it is kept for all tries together (`voice_of`)."""


def situation_of(phrase: str, language: str = "en") -> Situation:
    """Where a phrase is said in earnest: asleep, to a question, or at a row."""
    action = _action(phrase, language)
    if action is None or action is Action.START_LISTENING:
        return Situation(context=Context.ASLEEP)
    if action in (Action.YES, Action.NO):
        return Situation(context=Context.YES_NO, question_open=True)
    return Situation(question_open=True)


class PhraseVerdict(Frozen):
    """How one phrase did."""

    phrase: str
    said: int
    taken: int
    """Tries that these bounds take as what was said."""
    safe: bool
    reason: str = ""
    """Why it is not safe."""
    spare: str = ""
    """Another phrase of the same action to say instead; empty where it is safe or has none."""


class Rehearsed(Frozen):
    """What came of a rehearsal."""

    phrases: tuple[PhraseVerdict, ...]
    bounds: Bounds


def phrases_to_say(language: str = "en", *, every: bool = False) -> tuple[str, ...]:
    """The first phrase of each action, or every phrase of the table, with examples for numbers.

    Raises FileNotFoundError for an unknown language.
    """
    alike = _alike(language) if every else [line.phrases[:1] for line in words(language)]
    return tuple(_example(phrase, language) for phrases in alike for phrase in phrases)


def judge_tries(
    tries: Sequence[Try], sensitivity: Sensitivity = Sensitivity.EVEN, language: str = "en"
) -> Rehearsed:
    """Verdicts in the order in which the phrases were first tried, and the fitted bounds."""
    right = [t for t in tries if _same(t.heard, t.phrase, language) and not t.fault]
    wrong = [t for t in tries if _mistaken(t, language)]
    bounds = _fitted(right, wrong, BOUNDS[sensitivity], language)
    order = tuple(dict.fromkeys(t.phrase for t in tries))
    first = [_verdict(phrase, tries, wrong, bounds, language) for phrase in order]
    unsafe = {v.phrase for v in first if not v.safe}
    found = tuple(
        v if v.safe else v.model_copy(update={"spare": spare(v.phrase, unsafe, language)})
        for v in first
    )
    return Rehearsed(phrases=found, bounds=bounds)


def voice_of(tries: Sequence[Try], language: str = "en") -> Timbre:
    """The voice in which the tries that went right were said."""
    found = Timbre()
    for tried in tries:
        if tried.voice and not tried.fault and _same(tried.heard, tried.phrase, language):
            found = found.and_also(tried.voice)
    return found


def spare(phrase: str, unsafe: set[str], language: str = "en") -> str:
    """Another phrase of the same action that is not known to be unsafe; "" where there is none."""
    for phrases in _alike(language):
        said = {_example(other, language): "{" in other for other in phrases}
        for other, with_number in said.items() if phrase in said else ():
            if other != phrase and other not in unsafe and with_number == said[phrase]:
                return other
    return ""


def _alike(language: str) -> list[tuple[str, ...]]:
    """The phrases of each line of the table: what mean the same."""
    actions = [line.phrases for line in words(language)]
    return actions + [line.phrases for line in page_words(language)]


def _fitted(right: Sequence[Try], wrong: Sequence[Try], base: Bounds, language: str) -> Bounds:
    floor = BOUNDS[Sensitivity.EAGER]
    sure = min((t.confidence for t in right), default=1.0) - _LEEWAY
    clear = min((t.clear_db for t in right), default=base.margin_db + _LEEWAY_DB) - _LEEWAY_DB
    confidence = min(base.confidence, max(floor.confidence, sure))
    numbered = min((t.confidence for t in right if _has_number(t.phrase, language)), default=1.0)
    if numbered < base.number_confidence:
        numbered = max(floor.number_confidence, numbered - _LEEWAY)
    stricter: dict[Action, float] = {}
    for mistake in wrong:
        action = _action(mistake.heard, language)
        assert action is not None
        least = mistake.confidence + _ABOVE_MISTAKE
        if least > confidence:
            stricter[action] = min(1.0, max(stricter.get(action, 0.0), least))
    return base.model_copy(
        update={
            "confidence": confidence,
            "number_confidence": min(base.number_confidence, numbered),
            "margin_db": min(base.margin_db, max(floor.margin_db, clear)),
            "surer": stricter,
        }
    )


def _verdict(
    phrase: str, tries: Sequence[Try], wrong: Sequence[Try], bounds: Bounds, language: str
) -> PhraseVerdict:
    said = [t for t in tries if t.phrase == phrase]
    refused = [_refusal(t, bounds, language) for t in said]
    taken = [why for why in refused if not why]
    reason = ""
    if mistakes := [t.heard for t in wrong if t.phrase == phrase]:
        reason = f"taken for “{mistakes[0]}”"
    elif others := [t.phrase for t in wrong if _same(t.heard, phrase, language)]:
        reason = f"“{others[0]}” was taken for it"
    elif len(taken) < _ENOUGH * len(said):
        faults = [why for why in refused if why]
        reason = faults[0] if faults else _UNCLEAR
    return PhraseVerdict(
        phrase=phrase, said=len(said), taken=len(taken), safe=not reason, reason=reason
    )


def _refusal(tried: Try, bounds: Bounds, language: str) -> str:
    """Why a try would not be taken in earnest, by these bounds; empty where it would."""
    if tried.fault:
        return tried.fault
    if not _same(tried.heard, tried.phrase, language):
        return _UNCLEAR
    if tried.evidence is not None:
        verdict = judge(tried.evidence, situation_of(tried.phrase, language), bounds)
        return "" if verdict.outcome is Outcome.TAKEN else verdict.reason
    command = _command(tried.phrase, language)
    sure = tried.confidence >= bounds.unquestioned(command)
    clear = tried.clear_db >= bounds.unquestioned_db(command)
    return "" if sure and clear else _UNCLEAR


def _mistaken(tried: Try, language: str) -> bool:
    return _action(tried.heard, language) is not None and not _same(
        tried.heard, tried.phrase, language
    )


def _same(heard: str, phrase: str, language: str) -> bool:
    command = _command(heard, language)
    return command is not None and command == _command(phrase, language)


def _has_number(phrase: str, language: str) -> bool:
    command = phrase_book(language).read(phrase).command
    return command is not None and command.value is not None


def _command(text: str, language: str) -> Command | None:
    return phrase_book(language).read(text).command


def _action(text: str, language: str) -> Action | None:
    command = _command(text, language)
    return command.action if command else None


def _example(phrase: str, language: str) -> str:
    """The phrase with numbers of the language in its slots."""
    if language == "en":
        return " ".join(_EXAMPLES.get(word, word) for word in phrase.split())
    from engine.words.grammar import numbers

    three = next(" ".join(said) for said, value in numbers(language).items() if value == 3)
    return phrase.replace("{n}", three).replace("{m}", three)
