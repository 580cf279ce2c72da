"""What may be said, as sequences of words: the one table of phrases, unrolled for a recogniser.

Pure. The starter model's graph is built from it, and it gives any other Vosk model its word list.
"""

from functools import cache

from engine.words.vocabulary import breaths, language_data, language_name, page_words, words
from models.command import Action, Context

Tokens = tuple[str, ...]
"""Words one after the other; `{n}` and `{m}` stand for a whole number and a length."""


def patterns(context: Context, language: str = "en") -> tuple[Tokens, ...]:
    """The phrases of a listening context, slots not yet filled.

    Raises FileNotFoundError for a language without a word file.
    """
    found = tuple(
        tuple(phrase.split())
        for line in words(language)
        for phrase in line.phrases
        if context is not Context.ASLEEP or line.action is Action.START_LISTENING
    )
    if context is not Context.ASLEEP:
        pages = (phrase for line in page_words(language) for phrase in line.phrases)
        together = (said for said, _ in breaths(language))
        found = (*found, *(tuple(said.split()) for said in (*pages, *together)))
    if context is Context.NUMBER:
        found = (*found, ("{m}",))
    call = attention(language)
    return (*found, call, *(call + phrase for phrase in found)) if call else found


def attention(language: str = "en") -> Tokens:
    """The words that may be asked for before every command; empty if the language has none."""
    data = language_data(language)
    return tuple(str(data.get("attention", {}).get("word", "")).split())


def no_attention(language: str) -> str:
    """Why nobody can wait for the language's attention word; empty where it has one."""
    if attention(language):
        return ""
    return (
        f"The words in {language_name(language)} have no attention word: commands are taken "
        "without one."
    )


@cache
def numbers(language: str = "en") -> dict[Tokens, int]:
    """Every way to say a whole number 0 to 999, to its value.

    A number word may be several words ("quatre vingt"). Tens take a unit ("forty two") unless the
    file has a word of its own for the sum; hundreds take a unit before and any number below a
    hundred after, with the language's joining "and" or without.
    """
    data = language_data(language)
    atoms = {tuple(said.split()): int(str(value)) for said, value in data["numbers"].items()}
    own = set(atoms.values())
    below = {said: value for said, value in atoms.items() if value < 100}
    for said, value in list(below.items()):
        if value >= 20 and value % 10 == 0:
            for unit_said, unit in atoms.items():
                if 1 <= unit <= 9 and value + unit not in own:
                    below[said + unit_said] = value + unit
    hundreds = {said: value for said, value in atoms.items() if value >= 100}
    for said, value in list(hundreds.items()):
        if value == 100:
            for unit_said, unit in atoms.items():
                if 1 <= unit <= 9 and 100 * unit not in own - {100}:
                    hundreds[unit_said + said] = 100 * unit
    joins: list[Tokens] = [()]
    if "and" in data["joins"]:
        joins.append(tuple(str(data["joins"]["and"]).split()))
    found = below | hundreds
    for said, value in hundreds.items():
        for rest_said, rest in below.items():
            if rest:
                for join in joins:
                    found[said + join + rest_said] = value + rest
    return found


@cache
def lengths(language: str = "en") -> dict[Tokens, float]:
    """Every way to say a length: whole, with one decimal after "point", or with a half."""
    data = language_data(language)
    joins = {str(k): tuple(str(v).split()) for k, v in data["joins"].items()}
    digits = {said: value for said, value in numbers(language).items() if value <= 9}
    found: dict[Tokens, float] = {}
    for said, whole in numbers(language).items():
        found[said] = float(whole)
        if "half" in joins:
            found[said + joins["half"]] = whole + 0.5
        if "point" in joins:
            for digit_said, digit in digits.items():
                found[said + joins["point"] + digit_said] = round(whole + digit / 10, 1)
    return found


@cache
def vocabulary(language: str = "en") -> frozenset[str]:
    """Every word that a phrase or a number can hold."""
    fixed = {
        word
        for pattern in patterns(Context.ROW, language)
        for word in pattern
        if not word.startswith("{")
    }
    return frozenset(fixed.union(*lengths(language)))


@cache
def prompts(context: Context, language: str = "en") -> tuple[str, ...]:
    """A phrase list for a model with a dynamic grammar.

    Vosk makes a word-pair model of such a list, so it holds every pair of neighbouring words that
    some sentence has, not every sentence: a thousand numbers need some two hundred lines.
    """
    fillings: dict[str, list[Tokens]] = {
        "{n}": _pair_cover(list(numbers(language))),
        "{m}": _pair_cover(list(lengths(language))),
    }
    found: list[Tokens] = []
    plain = [p for p in patterns(context, language) if not any(w in fillings for w in p)]
    for pattern in patterns(context, language):
        filled: list[Tokens] = [()]
        for word in pattern:
            filled = [had + more for had in filled for more in fillings.get(word, [(word,)])]
        found += filled
    cover = _pair_cover(found)
    # Counted as often as all the numbers together, or a number word would be the likelier guess.
    often = len(cover) // max(1, len(plain))
    return tuple(" ".join(sentence) for sentence in [*cover, *plain * often])


def _pair_cover(sentences: list[Tokens]) -> list[Tokens]:
    """Sentences, short ones first, that together hold every pair of neighbours and both ends."""
    seen: set[tuple[str, str]] = set()
    kept: list[Tokens] = []
    for sentence in sorted(sentences, key=lambda said: (len(said), said)):
        pairs = set(zip(("", *sentence), (*sentence, ""), strict=True))
        if not pairs <= seen:
            seen |= pairs
            kept.append(sentence)
    return kept
