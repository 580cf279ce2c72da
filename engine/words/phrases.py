"""Recognised words to a command: the phrases of the table, with numbers 0 to 999.

Pure. The phrases, the number words and the joining words ("point", "and a half") come from the
language's data file; this module knows only how they fit together.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from engine.words.vocabulary import breaths, language_data, page_words, words
from models.command import Action, Command, Context
from models.frozen import Frozen

UNKNOWN = "[unk]"
"""What a decoder writes for speech that is none of its words."""


class Reading(Frozen):
    """What a text means as it stands, and what it could still become."""

    command: Command | None
    """The command, when the text is one whole phrase; None otherwise."""
    more: tuple[Command, ...] = ()
    """The commands that follow it in the same breath."""
    may_go_on: bool
    """A longer phrase begins with this text ("dropped loop" … "at twelve")."""
    spoiled: bool
    """Unknown words stand in it."""


class _Words:
    """The words read so far, noting whether a phrase ran past their end."""

    def __init__(self, said: tuple[str, ...]) -> None:
        self.said = said
        self.ran_out = False

    def at(self, place: int) -> str | None:
        if place < len(self.said):
            return self.said[place]
        self.ran_out = True
        return None

    def literal(self, place: int, tokens: tuple[str, ...]) -> Iterator[int]:
        """The place after `tokens`, if they stand at `place`."""
        for token in tokens:
            if self.at(place) != token:
                return
            place += 1
        yield place


class PhraseBook:
    """The phrases of one language, ready to be matched."""

    def __init__(self, language: str = "en") -> None:
        """Reads the language's table. Raises FileNotFoundError for an unknown language."""
        data = language_data(language)
        self._values = {tuple(str(w).split()): int(str(v)) for w, v in data["numbers"].items()}
        joins = {str(k): tuple(str(v).split()) for k, v in data["joins"].items()}
        self._point = joins.get("point", ())
        self._half = joins.get("half", ())
        self._and = joins.get("and", ())
        attention = data.get("attention", {}).get("word", "")
        self.attention = tuple(str(attention).split())
        """The optional attention word, as a tuple of words; empty if the language has none."""
        self._patterns = tuple(
            (line.action, tuple(phrase.split()))
            for line in words(language)
            for phrase in line.phrases
        )
        self._pages = tuple(
            (line.page, tuple(phrase.split()))
            for line in page_words(language)
            for phrase in line.phrases
        )
        self._breaths = tuple((tuple(said.split()), means) for said, means in breaths(language))
        self._phones = {str(word): int(str(n)) for word, n in data.get("phones", {}).items()}
        known = {word for _, pattern in (*self._patterns, *self._pages) for word in pattern}
        self._endings = {
            word: tuple(
                sorted(w for w in known - {word} if w.startswith(word) or word.startswith(w))
            )
            for word in known
        }

    def read(self, text: str, context: Context = Context.ROW) -> Reading:
        """What `text` means in `context`; a text that means nothing has no command."""
        said = tuple(text.lower().split())
        if not said:
            return Reading(command=None, may_go_on=True, spoiled=False)
        if any(word.startswith(("[", "<")) for word in said):
            return Reading(command=None, may_go_on=False, spoiled=True)
        source = _Words(said)
        found: list[Command] = []
        for action, pattern in self._patterns:
            if context is Context.ASLEEP and action is not Action.START_LISTENING:
                continue
            found += [
                Command(action=action, value=value)
                for place, value in self._match(source, 0, pattern, None)
                if place == len(said)
            ]
        if context is Context.NUMBER:
            found += [
                Command(action=Action.MEASURED, value=value)
                for place, value in self._length(source, 0)
                if place == len(said)
            ]
        more: tuple[Command, ...] = ()
        if context is not Context.ASLEEP:
            for page, pattern in self._pages:
                for place in source.literal(0, pattern):
                    if place == len(said):
                        found.append(Command(action=Action.TURN, page=page))
            for together, actions in self._breaths:
                if said == together:
                    found = [Command(action=actions[0])]
                    more = tuple(Command(action=action) for action in actions[1:])
        return Reading(
            command=found[0] if found else None,
            more=more,
            may_go_on=source.ran_out,
            spoiled=False,
        )

    def phones(self, text: str) -> int:
        """How many phones a text has at least: by the language's own count, or its spelling."""
        return max(1, sum(self._phones.get(word, phones(word)) for word in text.lower().split()))

    def other_endings(self, word: str) -> tuple[str, ...]:
        """The words of the phrases that are `word` with an ending more, or less: "row", "rows"."""
        return self._endings.get(word, ())

    def other_numbers(self, word: str) -> tuple[str, ...]:
        """The other numbers of one word each, where `word` is one."""
        alone = {said[0]: value for said, value in self._values.items() if len(said) == 1}
        return (
            tuple(w for w, value in alone.items() if value != alone[word]) if word in alone else ()
        )

    def _match(
        self, source: _Words, place: int, pattern: tuple[str, ...], value: float | None
    ) -> Iterator[tuple[int, float | None]]:
        if not pattern:
            yield place, value
            return
        head, rest = pattern[0], pattern[1:]
        if head == "{n}":
            for after, number in self._whole(source, place):
                yield from self._match(source, after, rest, float(number))
        elif head == "{m}":
            for after, length in self._length(source, place):
                yield from self._match(source, after, rest, length)
        else:
            for after in source.literal(place, (head,)):
                # A phrase that spells its number out ("one more row") carries it all the same.
                spelled = self._values.get((head,))
                yield from self._match(
                    source, after, rest, float(spelled) if spelled is not None else value
                )

    def _whole(self, source: _Words, place: int) -> Iterator[tuple[int, int]]:
        """Whole numbers 0 to 999 that begin at `place`, shortest first."""
        yield from self._below_hundred(source, place)
        for after, hundreds in self._hundreds(source, place):
            yield after, hundreds
            starts = [after]
            if self._and:
                starts += source.literal(after, self._and)
            for start in starts:
                for end, rest in self._below_hundred(source, start):
                    if rest:
                        yield end, hundreds + rest

    def _hundreds(self, source: _Words, place: int) -> Iterator[tuple[int, int]]:
        yield from self._values_at(source, place, 100, 999)  # one word for a hundred or more
        for after, count in self._values_at(source, place, 1, 9):
            for end, scale in self._values_at(source, after, 100, 100):
                yield end, count * scale

    def _below_hundred(self, source: _Words, place: int) -> Iterator[tuple[int, int]]:
        for after, value in self._values_at(source, place, 0, 99):
            yield after, value
            if value >= 20 and value % 10 == 0:
                for end, unit in self._values_at(source, after, 1, 9):
                    yield end, value + unit

    def _values_at(
        self, source: _Words, place: int, low: int, high: int
    ) -> Iterator[tuple[int, int]]:
        """The number words of low … high at `place`; one number may be several words."""
        for tokens, value in self._values.items():
            if low <= value <= high:
                for after in source.literal(place, tokens):
                    yield after, value

    def _length(self, source: _Words, place: int) -> Iterator[tuple[int, float]]:
        """A measurement that begins at `place`: whole, with one decimal, or with a half."""
        for after, whole in self._whole(source, place):
            yield after, float(whole)
            if self._half:
                for end in source.literal(after, self._half):
                    yield end, whole + 0.5
            if self._point:
                for start in source.literal(after, self._point):
                    for end, tenth in self._values_at(source, start, 0, 9):
                        yield end, round(whole + tenth / 10, 1)


@cache
def phrase_book(language: str = "en") -> PhraseBook:
    """The language's phrase book, made once. Raises FileNotFoundError for an unknown language."""
    return PhraseBook(language)


def phones(text: str) -> int:
    """About how many phones a text has, for the guard's shortest believable length.

    An estimate from spelling, no dictionary: Latin letters less silent final e, doubled letters
    and digraphs; two and a half for a Hangul syllable block.
    """
    count = 0.0
    for word in text.lower().split():
        letters = [c for c in word if c.isalpha()]
        before = ""
        for letter in letters:
            if "가" <= letter <= "힣":
                count += 2.5
            elif letter != before and before + letter not in _ONE_SOUND:
                count += 1
            before = letter
        if len(letters) > 3 and letters[-1] == "e":
            count -= 1
    return max(1, round(count))


_ONE_SOUND = frozenset(
    {"th", "sh", "ch", "ck", "ph", "gh", "ng", "ea", "ai", "ou", "ow", "oa", "ei", "eu", "au", "ie"}
)
