import pytest

from engine.words.grammar import lengths, numbers, patterns, prompts, vocabulary
from engine.words.phrases import phrase_book
from models.command import Action, Context

LANGUAGES = ("en", "ko", "de", "fr", "es")


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_number_to_999_can_be_said_and_reads_back_as_itself(language):
    assert set(numbers(language).values()) == set(range(1000))
    book = phrase_book(language)
    for said, value in numbers(language).items():
        assert book.read(" ".join(said), Context.NUMBER).command.value == value


@pytest.mark.parametrize("language", LANGUAGES)
def test_lengths_read_back_as_themselves(language):
    book = phrase_book(language)
    for said, value in list(lengths(language).items())[::37]:
        assert book.read(" ".join(said), Context.NUMBER).command.value == value


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_a_phrase_for_every_spoken_action(language):
    english = {line.action for line in phrases("en")}
    assert {line.action for line in phrases(language)} == english


def phrases(language):
    from engine.words.vocabulary import words

    return [line for line in words(language) if line.phrases]


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_phrase_is_said_for_two_actions(language):
    said = [phrase for line in phrases(language) for phrase in line.phrases]
    assert len(said) == len(set(said))


@pytest.mark.parametrize("language", ["de", "fr", "es"])
def test_the_words_are_common_ones(language):
    """A Vosk vocabulary is made from running text: words seen there less than once in a hundred
    million are not to be counted on. Source: the frequency lists of the wordfreq package.
    """
    wordfreq = pytest.importorskip("wordfreq", reason="pip install 'spokenrow[forge]'")
    spelled_as_two = {word for said in numbers(language) if len(said) == 1 for word in said}
    for word in vocabulary(language) - spelled_as_two:
        assert wordfreq.zipf_frequency(word, language) >= 2, word


def test_the_prompts_hold_every_pair_of_neighbours():
    """Vosk makes a word-pair model of them, so each sentence is a path through them."""
    pairs = {
        pair
        for prompt in prompts(Context.ROW)
        for pair in zip(("", *prompt.split()), (*prompt.split(), ""), strict=True)
    }
    for said in numbers():
        for phrase in (("dropped", "loop", "at", *said), ("rip", "back", *said, "rows")):
            assert set(zip(("", *phrase), (*phrase, ""), strict=True)) <= pairs
    assert len(prompts(Context.ROW)) < 1100


def test_asleep_only_the_word_that_wakes_it_is_expected():
    book = phrase_book()
    spoken = [" ".join(pattern) for pattern in patterns(Context.ASLEEP)]
    actions = {book.read(text).command.action for text in spoken if book.read(text).command}
    assert actions == {Action.START_LISTENING}
    assert not any("row done" in text for text in spoken)


def test_a_bare_number_is_expected_only_where_one_was_asked_for():
    assert ("{m}",) in patterns(Context.NUMBER)
    assert ("{m}",) not in patterns(Context.ROW)
