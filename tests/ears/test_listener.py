import tracemalloc
from types import SimpleNamespace

import pytest

from engine.ears.gate import Gate
from engine.ears.guard import Sensitivity
from engine.ears.listener import Listener
from models.command import Action, Context, Situation
from tests.ears.tone_words import RATE, ToneDecoder, quiet, say, scene


def hear(sound, piece=640, **settings):
    decoder = settings.pop("decoder", None) or ToneDecoder()
    listener = Listener(decoder, **settings)
    heard = []
    for start in range(0, len(sound), piece):
        heard += listener.feed(sound[start : start + piece])
    return heard + listener.end()


def taken(heard):
    return [(h.command.action, h.command.value) for h in heard if h.taken]


def test_a_command_alone_is_taken_soon_after_its_end():
    speech = say("row done")
    (heard,) = hear(scene(1.5, speech, 1.5))
    assert heard.taken
    assert heard.command.action is Action.ADVANCE
    end = 1.5 + len(speech) / RATE
    assert heard.start_s == pytest.approx(1.5, abs=0.08)
    assert heard.end_s == pytest.approx(end, abs=0.08)
    assert heard.decided_s - end < 0.25


def test_the_length_of_the_pieces_changes_nothing():
    sound = scene(1.5, say("row done"), 1, say("dropped loop at twelve"), 1)
    answers = [hear(sound, piece) for piece in (2, 100, 640, 9_999, len(sound))]
    assert all(answer == answers[0] for answer in answers)
    assert taken(answers[0]) == [(Action.ADVANCE, None), (Action.DROPPED, 12)]


def test_a_phrase_that_could_go_on_waits_for_its_rest():
    heard = hear(scene(1.5, say("dropped loop"), 0.25, say("at twelve"), 1.5))
    assert [(h.heard, h.taken) for h in heard] == [("dropped loop at twelve", True)]


def test_among_talk_it_waits_longer_for_the_rest(monkeypatch):
    sound = scene(1.5, say("dropped loop"), 0.42, say("at twelve"), 1.5, say("row done"), 1)
    monkeypatch.setattr(Gate, "spread_db", 2.5)
    heard = hear(sound)
    assert [(h.heard, h.taken) for h in heard] == [
        ("dropped loop at twelve", True),
        ("row done", True),
    ]
    assert heard[1].decided_s - heard[1].end_s < 0.25  # nothing can follow that


def test_a_rest_that_comes_after_the_decision_withdraws_it_and_is_heard_whole():
    heard = hear(scene(1.5, say("dropped loop"), 0.42, say("at twelve"), 1.5))
    assert [(h.heard, h.taken, h.withdrawn) for h in heard] == [
        ("dropped loop", True, False),
        ("dropped loop", False, True),
        ("dropped loop at twelve", True, False),
    ]


def test_talk_that_begins_like_a_command_is_withdrawn():
    heard = hear(scene(1.5, say("row done"), 0.2, say("hum hum hum"), 1.5), decoder=ToneDecoder())
    assert taken(heard) == [(Action.ADVANCE, None)]
    assert heard[1].withdrawn
    assert heard[1].reason == "withdrawn: the voice went on"


def test_a_click_after_a_command_does_not_withdraw_it():
    heard = hear(scene(1.5, say("row done"), 0.25, say("hum", word_s=0.08), 1.5))
    assert not any(h.withdrawn for h in heard)
    assert len(taken(heard)) == 1


def test_a_command_inside_talk_is_not_taken():
    talk = "hum hum hum hum hum"
    heard = hear(scene(1, say(talk), 0.3, say(talk), 0.6, say("row done"), 0.6, say(talk), 1))
    assert [h.withdrawn for h in heard if h.taken or h.withdrawn] == [False, True]


def test_after_a_sentence_of_her_own_a_command_is_taken():
    heard = hear(scene(1, say("hum " * 7), 0.5, say("row done"), 1.5))
    assert taken(heard) == [(Action.ADVANCE, None)]


@pytest.mark.parametrize("gap", [0.25, 0.4])
def test_an_um_before_a_command_costs_nothing(gap):
    heard = hear(scene(1.5, say("hum"), gap, say("row done"), 1.5))
    assert taken(heard) == [(Action.ADVANCE, None)]


def test_what_follows_a_word_at_once_is_no_command():
    assert taken(hear(scene(1.5, say("hum"), 0.08, say("row done"), 1.5))) == []


def test_after_refused_tries_the_next_is_no_less_welcome():
    tries = [say("row done"), 0.6] * 4
    decoder = ToneDecoder(confidence=0.3)
    listener = Listener(decoder)
    assert [h.reason for h in listener.feed(scene(1.5, *tries))] == ["not sure enough"] * 4
    decoder.confidence = 1.0
    assert taken(listener.feed(scene(say("row done"), 1))) == [(Action.ADVANCE, None)]


def test_after_talk_has_died_away_commands_count_again():
    heard = hear(scene(1, say("hum " * 8), 0.6, say("hum " * 8), 12, say("row done"), 1))
    assert taken(heard) == [(Action.ADVANCE, None)]


def test_endless_talk_is_not_decoded_for_ever():
    decoder = ToneDecoder()
    heard = hear(scene(1, say("hum " * 26), 1, say("row done"), 1), decoder=decoder)
    assert [h.reason for h in heard] == ["it came in the middle of talk"]
    assert decoder.fed_s < 6 + 2


def test_nothing_is_taken_that_follows_endless_talk_at_once():
    assert taken(hear(scene(1, say("hum " * 100), 1, say("row done"), 1))) == []


def test_running_and_last_answer_must_agree():
    (heard,) = hear(
        scene(1.5, say("row done"), 1), decoder=ToneDecoder(slips={"row done": "take back"})
    )
    assert not heard.taken
    assert heard.reason == "heard one thing, then another"


def test_two_commands_close_together_both_count():
    heard = hear(scene(1.5, say("row done"), 0.6, say("row done"), 1))
    assert taken(heard) == [(Action.ADVANCE, None)] * 2


def test_deaf_hears_nothing_but_time_passes():
    listener = Listener(ToneDecoder())
    listener.feed(scene(1.0))
    assert listener.feed(scene(0.2, say("row done"), 0.8), deaf=True) == []
    assert listener.feed(scene(1.0)) == []
    heard = listener.feed(scene(0.5, say("take back"), 1.0))
    assert taken(heard) == [(Action.TAKE_BACK, None)]
    assert heard[0].start_s == pytest.approx(0.2 + 0.54 + 0.8 + 2.5, abs=0.1)


def test_a_tone_of_ours_after_a_decision_does_not_withdraw_it():
    listener = Listener(ToneDecoder())
    sound = scene(1.5, say("row done"), 0.2)
    heard = listener.feed(sound)
    assert len(taken(heard)) == 1
    assert listener.feed(scene(say("hum"), 0.1), deaf=True) == []
    assert listener.feed(scene(1.5)) == []


def test_the_situation_is_asked_at_both_ends():
    asked = []

    def situation():
        asked.append(1)
        return Situation(context=Context.YES_NO, question_open=len(asked) > 1)

    decoder = ToneDecoder()
    (heard,) = hear(scene(1.5, say("yes"), 1), situation=situation, decoder=decoder)
    assert heard.taken
    assert decoder.contexts == [Context.YES_NO]


def test_closed_ears_say_nothing_of_talk():
    asleep = {"situation": lambda: Situation(context=Context.ASLEEP)}
    assert hear(scene(1.5, say("row done"), 1.5, say("hum"), 1), **asleep) == []


def test_a_quick_advance_asks():
    (heard,) = hear(
        scene(1.5, say("row done"), 1),
        situation=lambda: Situation(step_age_s=2, least_step_s=60),
    )
    assert heard.asks
    assert not heard.taken
    assert heard.command.action is Action.ADVANCE


def test_attention_word():
    def settings():
        return {"attention": True}

    assert taken(hear(scene(1.5, say("row done"), 1), **settings())) == []
    one_breath = hear(scene(1.5, say("listen now row done"), 1), **settings())
    assert taken(one_breath) == [(Action.ADVANCE, None)]
    two = hear(scene(1.5, say("listen now"), 1, say("row done"), 1), **settings())
    assert taken(two) == [(Action.ADVANCE, None)]
    late = hear(scene(1.5, say("listen now"), 8, say("row done"), 1), **settings())
    assert taken(late) == []


def timed(word, end_s=0.3, confidence=1.0):
    return SimpleNamespace(word=word, start_s=0.0, end_s=end_s, confidence=confidence)


class WordByWord(ToneDecoder):
    """Gives each word of its answer with what `told` says of it."""

    def __init__(self, told, **settings):
        super().__init__(**settings)
        self.told = told

    def finish(self):
        answer = super().finish()
        answer.words = [timed(word, **self.told.get(word, {})) for word in answer.text.split()]
        return answer


@pytest.mark.parametrize(
    ("squeezed", "reason"), [("at", ""), ("loop", "too quick for one of those words")]
)
def test_only_the_shortest_words_may_be_hardly_said(squeezed, reason):
    """ "At" has two phones, "loop" three."""
    sound = scene(1.5, say("dropped loop at twelve"), 1.5)
    decoder = WordByWord({squeezed: {"end_s": 0.02}})
    assert [h.reason for h in hear(sound, decoder=decoder)] == [reason]


@pytest.mark.parametrize(
    ("said", "doubted", "confidence"),
    [
        ("one more row", "row", 1.0),  # "one more rows" means the same
        ("one more row", "one", 0.4),
        ("one more row", "more", 0.4),
        ("row done", "row", 0.4),  # "rows done" means nothing
        ("rip twelve rows", "rows", 0.4),  # no phrase
    ],
)
def test_an_ending_that_changes_nothing_may_be_unsure(said, doubted, confidence):
    decoder = WordByWord({doubted: {"confidence": 0.4}}, confidence=0.4)
    heard = hear(scene(1.5, say(said), 1.5), decoder=decoder)
    assert [h.confidence for h in heard] == [confidence]


def test_a_phrase_of_one_word_is_as_sure_as_that_word():
    """Both Korean words for no differ in the ending only, and mean the same."""

    decoder = WordByWord({"아니요": {"confidence": 0.4}}, confidence=0.4, slips={"no": "아니요"})
    heard = hear(scene(1.5, say("no"), 1.5), decoder=decoder, language="ko")
    assert [h.confidence for h in heard] == [0.4]


def test_silence_costs_no_decoding():
    decoder = ToneDecoder()
    assert hear(scene(quiet(30)), decoder=decoder) == []
    assert decoder.fed_s == 0


def test_a_soft_voice_is_taken_by_eager_ears_only():
    sound = scene(3, say("row done", level=50, word_s=0.4), 1)  # the hiss has a level of 20
    careful, eager = hear(sound), hear(sound, sensitivity=Sensitivity.EAGER)
    assert [h.reason for h in careful] == ["not louder than the room"]
    assert taken(eager) == [(Action.ADVANCE, None)]


def test_sensitivity_can_change_between_utterances():
    listener = Listener(ToneDecoder(confidence=0.5))
    assert taken(listener.feed(scene(1.5, say("row done"), 1.5))) == []
    listener.sensitivity = Sensitivity.EAGER
    assert len(taken(listener.feed(scene(1.5, say("row done"), 1.5)))) == 1


def test_a_long_night_takes_no_more_memory():
    """Words, talk and quiet over and over: what is kept does not grow."""
    evening = scene(1, say("row done"), 2, say("hum " * 24), 2, say("dropped loop"), 2)
    listener = Listener(ToneDecoder())
    tracemalloc.start()
    for _ in range(2):
        listener.feed(evening)
    first = tracemalloc.take_snapshot()
    for _ in range(2):
        listener.feed(evening)
    last = tracemalloc.take_snapshot()
    tracemalloc.stop()
    ours = "engine/ears"
    grown = sum(line.size_diff for line in last.compare_to(first, "filename") if ours in str(line))
    assert grown < 10_000


def test_the_attention_word_alone_is_answered():
    for asked in (True, False):
        heard = hear(scene(1.5, say("listen now"), 2), attention=asked)
        assert [h.called for h in heard] == [True]
        assert taken(heard) == []


def breath(*words, gap=0.2, **more):
    """What is heard of words said so near to each other."""
    sound = [1.5]
    for word in words:
        sound += [say(word), gap]
    return hear(scene(*sound, 1), **more)


def test_two_rows_in_one_breath_are_two():
    heard = breath("row done", "row done")
    assert taken(heard) == [(Action.ADVANCE, None)] * 2
    assert [h.goes_on for h in heard] == [False, True]


@pytest.mark.parametrize(
    ("words", "actions"),
    [
        (("row done", "where am i"), [Action.ADVANCE, Action.WHERE]),
        (("row done", "no take back"), [Action.ADVANCE, Action.TAKE_BACK]),
        (("row done", "row done", "row done"), [Action.ADVANCE] * 3),
    ],
)
def test_what_is_said_in_one_breath_is_all_done_in_its_order(words, actions):
    assert [action for action, _ in taken(breath(*words))] == actions


def test_a_breath_that_is_not_understood_to_its_end_is_withdrawn_whole():
    heard = breath("row done", "row done", "where take")
    assert heard[-2].withdrawn or heard[-1].withdrawn
    assert not heard[-1].taken


def test_a_doubtful_breath_is_not_asked_about_by_half():
    heard = breath("row done row done", decoder=ToneDecoder(confidence=0.7))
    assert not any(h.asks or h.taken for h in heard)
