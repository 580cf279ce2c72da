import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.words.grammar import lengths, numbers
from engine.words.phrases import PhraseBook, phones, phrase_book
from engine.words.vocabulary import page_words, words
from models.command import Action, Context

BOOK = phrase_book()


def command(text, context=Context.ROW):
    found = BOOK.read(text, context).command
    return found and (found.action, found.value)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("row done", (Action.ADVANCE, None)),
        ("advance", (Action.ADVANCE, None)),
        ("take that back", (Action.TAKE_BACK, None)),
        ("dropped loop", (Action.DROPPED, None)),
        ("dropped loop at one hundred and twelve", (Action.DROPPED, 112)),
        ("missed loop at nine hundred ninety nine", (Action.DROPPED, 999)),
        ("rip back one row", (Action.RIP_BACK, 1)),
        ("rip back three rows", (Action.RIP_BACK, 3)),
        ("one more row", (Action.MORE_ROWS, 1)),
        ("twenty one more rows", (Action.MORE_ROWS, 21)),
        ("measured forty", (Action.MEASURED, 40)),
        ("measured forty point five", (Action.MEASURED, 40.5)),
        ("measured forty two and a half", (Action.MEASURED, 42.5)),
        ("measured zero point five", (Action.MEASURED, 0.5)),
        # What is no phrase has no command.
        ("row", None),
        ("row done take back take back", None),
        # A number may be asked for.
        ("measured", (Action.MEASURED, None)),
        ("rip back", (Action.RIP_BACK, None)),
        ("three rows done", (Action.ADVANCE, 3)),
        ("measured ten one", None),
        ("twenty zero more rows", None),
        ("forty", None),
        ("banana", None),
        ("", None),
    ],
)
def test_phrases(text, expected):
    assert command(text) == expected


def test_every_phrase_of_the_table_is_read_as_its_own_action():
    for line in words():
        for phrase in line.phrases:
            filled = phrase.replace("{n}", "seven").replace("{m}", "seven point five")
            assert command(filled)[0] is line.action, phrase


def test_words_in_one_breath_are_all_meant_and_a_no_only_corrects():
    def meant(text):
        reading = BOOK.read(text)
        return [c.action for c in (reading.command, *reading.more)]

    assert meant("row done row done") == [Action.ADVANCE] * 2
    assert meant("row done no take back") == [Action.ADVANCE, Action.TAKE_BACK]
    assert meant("row done where am i") == [Action.ADVANCE, Action.WHERE]
    assert meant("row done") == [Action.ADVANCE]
    assert not BOOK.read("row done").may_go_on  # or the screen would wait for more


def test_the_words_for_pages_turn_to_them():
    for line in page_words():
        for phrase in line.phrases:
            found = BOOK.read(phrase).command
            assert (found.action, found.page) == (Action.TURN, line.page)
        assert BOOK.read(line.phrases[0], Context.ASLEEP).command is None


def test_a_bare_number_counts_only_where_one_was_asked_for():
    assert command("forty point five") is None
    assert command("forty point five", Context.NUMBER) == (Action.MEASURED, 40.5)


def test_asleep_hears_only_the_words_that_wake_it():
    assert command("row done", Context.ASLEEP) is None
    assert command("start listening", Context.ASLEEP) == (Action.START_LISTENING, None)


def test_an_unknown_word_spoils_the_phrase():
    for text in ("[unk] row done", "row done [unk]", "row <UNK> done"):
        reading = BOOK.read(text)
        assert reading.spoiled
        assert reading.command is None


@pytest.mark.parametrize(
    ("text", "may_go_on"),
    [
        ("row done", False),
        ("row", True),
        ("dropped loop", True),
        ("dropped loop at", True),
        ("dropped loop at twenty", True),
        ("dropped loop at twenty one", False),
        ("measured forty", True),
        ("measured forty point five", False),
        ("one", True),
        ("yes", False),
    ],
)
def test_knows_what_could_still_follow(text, may_go_on):
    assert BOOK.read(text).may_go_on is may_go_on


@given(st.sampled_from(sorted(numbers().items())))
def test_agrees_with_the_grammar_the_recogniser_is_given(said_value):
    said, value = said_value
    assert command(" ".join(("rip", "back", *said, "rows"))) == (Action.RIP_BACK, value)


@given(st.sampled_from(sorted(lengths().items())))
def test_agrees_with_the_grammar_for_lengths(said_value):
    said, value = said_value
    assert command(" ".join(("measured", *said))) == (Action.MEASURED, value)


def test_unknown_language():
    with pytest.raises(FileNotFoundError):
        PhraseBook("xx")


@pytest.mark.parametrize(
    ("text", "count"),
    # Phone counts of the CMU Pronouncing Dictionary (version 0.7b): R OW D AH N; T EY K B AE K;
    # D R AA P T L UW P; AH D V AE N S; Y EH S; HH EH L P.
    [
        ("row done", 5),
        ("take back", 6),
        ("dropped loop", 8),
        ("advance", 6),
        ("yes", 3),
        ("help", 4),
    ],
)
def test_phones_are_estimated_within_one(text, count):
    assert abs(phones(text) - count) <= 1
