"""Whose voice it was: the arithmetic, the guard's rule, and running sound in two voices."""

import json
import math
from functools import partial
from statistics import NormalDist

import numpy as np
import pytest

from engine.ears import guard
from engine.ears.guard import ANOTHERS, BOUNDS, NOT_HERS, Outcome, Sensitivity, judge
from engine.ears.hers import ENOUGH, Timbre
from engine.ears.likeness import CEPSTRA, Likeness, SpeechSums, likeness, pitches, stretch
from engine.ears.listener import Listener
from engine.ears.phones import Phones
from engine.ears.recogniser import Recogniser, starter_dir
from models.command import Context, Situation
from tests.ears.test_guard_weighed import EVEN, outcome
from tests.ears.test_lived_in import FittingDecoder
from tests.ears.test_recogniser import flite, spoken
from tests.ears.test_weighing import said
from tests.ears.tone_words import RATE, say, scene

ANY = Situation(question_open=True)


def small(within, noise=1.0):
    """Two phones, each of whose first cepstrum tells one of two numbers of the speaker."""
    ways = np.zeros((2 * CEPSTRA + 1, 2))
    ways[0, 0] = ways[CEPSTRA, 1] = 1.0
    return Likeness(
        {
            "phones": ["A", "B"],
            "means": [0.0] * len(ways),
            "sure": [1 / noise] * len(ways),
            "within": [within] * 2,
            "steps": [1.0, 1.0],
            "slope": 1.0,
            "offset": 0.0,
            "ways": ways.tolist(),
        }
    )


def frames(first, second):
    sums = np.zeros((2, CEPSTRA))
    sums[:, 0] = first, second
    return SpeechSums(np.ones(2), sums, 0.0, 0.0)


@pytest.mark.parametrize("within", [0.0, 0.7])
def test_the_odds_are_those_of_two_gaussians_with_a_common_cause(within):
    """Each number by itself: the second utterance given the first, and given nothing."""
    noise = 0.5
    model, spread = small(within, noise), 1 + within + noise
    expected = 0.0
    for own, other in ((1.2, 0.7), (-0.4, 0.3)):
        given = NormalDist(own / spread, math.sqrt(spread - 1 / spread))
        alone = NormalDist(0.0, math.sqrt(spread))
        expected += math.log(given.pdf(other) / alone.pdf(other))
    found = model.odds(model.voice(frames(1.2, -0.4)), model.voice(frames(0.7, 0.3)))
    assert found == pytest.approx(expected, abs=1e-3)


def test_more_words_of_hers_make_it_surer():
    model = small(0.2)
    one = model.voice(frames(2.0, -2.0))
    many = one
    for _ in range(5):
        many = many.and_also(one)
    assert many.words == 6
    alike, unlike = model.voice(frames(2.1, -1.9)), model.voice(frames(-2.0, 2.0))
    assert model.odds(many, alike) > model.odds(one, alike) > 0
    assert model.odds(many, unlike) < model.odds(one, unlike) < 0


def test_of_nothing_heard_nothing_is_known():
    model = small(0.2)
    nothing = model.voice(SpeechSums(np.zeros(2), np.zeros((2, CEPSTRA)), 0.0, 0.0))
    assert model.odds(model.voice(frames(3, 3)), nothing) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("hz", [80.0, 123.0, 210.0, 330.0])
def test_the_pitch_of_a_pulsing_sound_is_told(hz):
    """Glottal pulses through two resonances, at 500 and 1500 Hz."""
    time = np.arange(RATE) / RATE
    sound = sum(
        np.cos(2 * np.pi * k * hz * time) / (1 + ((k * hz - 500) / 150) ** 2)
        + 0.5 * np.cos(2 * np.pi * k * hz * time) / (1 + ((k * hz - 1500) / 200) ** 2)
        for k in range(1, int(3500 / hz))
    )
    found = pitches((sound / np.abs(sound).max() * 8000).astype(np.int16))
    assert len(found) > 80
    assert np.median(found) == pytest.approx(hz, rel=0.02)


def test_noise_has_no_pitch_and_a_click_has_no_frames():
    noise = np.random.default_rng(0).normal(0, 3000, RATE).astype(np.int16)
    assert len(pitches(noise)) < 5
    assert len(pitches(noise[:300])) == 0
    assert len(pitches(np.zeros(RATE, np.int16))) == 0


def test_silence_counts_for_no_phone():
    shares = np.array([[0.1, 0.1], [0.6, 0.3]], np.float32)
    cepstra = np.ones((2, CEPSTRA + 1), np.float32)
    found = stretch(cepstra, shares, np.zeros(1000, np.int16))
    assert found.counts == pytest.approx([0.6, 0.3])


def test_what_is_shipped_is_of_the_shipped_network_and_small():
    told = likeness()
    assert told.phones == Phones(starter_dir()).names[1:]
    voice = told.voice(SpeechSums(np.zeros(39), np.zeros((39, CEPSTRA)), 0.0, 0.0))
    assert len(voice.linear) + len(voice.precision) < 400  # numbers in a profile


def test_a_voice_of_another_making_is_not_mixed_with_hers():
    old = Timbre(words=9, linear=(1.0,), precision=(2.0,))
    new = Timbre(words=1, linear=(1.0, 2.0), precision=(1.0, 0.0, 1.0))
    assert old.and_also(new) == new
    assert old.and_also(Timbre()) == old
    assert Timbre().and_also(new) == new


HERS = EVEN.model_copy(update={"voice": Timbre()})


@pytest.fixture(autouse=True)
def likely(monkeypatch, request):
    if "system" not in request.keywords:
        monkeypatch.setattr(guard, "likely", lambda _: 0.99)


def test_what_surely_another_said_is_refused_and_says_so():
    verdict = judge(said(hers=ANOTHERS - 0.1), Situation(), HERS)
    assert (verdict.outcome, verdict.reason) == (Outcome.REFUSED, NOT_HERS)
    for hers in (ANOTHERS, 0.0, None):
        assert outcome(said(hers=hers), bounds=HERS) is Outcome.TAKEN


def test_the_same_once_more_is_heard_more_willingly_but_not_from_anybody():
    assert outcome(said(hers=ANOTHERS - 1, tried=True), bounds=HERS) is Outcome.TAKEN
    assert outcome(said(hers=ANOTHERS - 5, tried=True), bounds=HERS) is Outcome.REFUSED


def test_another_voice_makes_no_sense_of_what_makes_none():
    verdict = judge(said("yes", hers=ANOTHERS - 1), Situation(), HERS)
    assert verdict.reason == "nothing was asked"


class VoicedDecoder(FittingDecoder):
    """Tells whose voice it hears by how loud it is: hers is louder."""

    def start(self, context):
        super().start(context)
        self._loudest = 0.0

    def feed(self, sound):
        self._loudest = max(self._loudest, np.abs(np.frombuffer(sound, "<i2")).max(initial=0))
        return super().feed(sound)

    def voice(self, text):
        model = likeness()
        toward = np.zeros(24)
        toward[0] = 40.0 if self._loudest > 6000 else -40.0
        wide = 4.0 * np.eye(24)[np.triu_indices(24)]
        assert len(wide) == len(model.voice(_NOTHING).precision)
        return Timbre(words=1, linear=tuple(toward), precision=tuple(wide))


_NOTHING = SpeechSums(np.zeros(39), np.zeros((39, CEPSTRA)), 0.0, 0.0)
HER, HIM = partial(say, level=8000.0), partial(say, level=2500.0)


def heard_in(*pieces, bounds=HERS):
    listener = Listener(VoicedDecoder(), lambda: ANY, sensitivity=bounds)
    heard = [*listener.feed(scene(*pieces)), *listener.end()]
    return listener, [(one.heard, one.taken, one.reason) for one in heard]


def six(who=HER):
    return [piece for _ in range(ENOUGH + 1) for piece in (who("row done"), 1.2)]


def test_her_first_commands_teach_her_voice_and_anothers_yes_is_not_hers():
    _, heard = heard_in(1.5, *six(), HIM("yes"), 1.5, HER("yes"), 1.5)
    assert [taken for _, taken, _ in heard[: ENOUGH + 1]] == [True] * (ENOUGH + 1)
    assert heard[ENOUGH + 1 :] == [("yes", False, NOT_HERS), ("yes", True, "")]


def test_anybody_is_heard_where_nobody_asks():
    for bounds in (EVEN, Sensitivity.EVEN):
        _, heard = heard_in(1.5, *six(), HIM("yes"), 1.5, bounds=bounds)
        assert heard[-1] == ("yes", True, "")


def test_what_was_taken_back_teaches_nothing():
    undone = [p for _ in range(ENOUGH) for p in (HIM("row done"), 1.2, HER("take back"), 1.2)]
    _, heard = heard_in(1.5, *undone, HIM("yes"), 1.5)
    assert heard[-1] == ("yes", False, NOT_HERS)


def test_the_attention_word_lets_everybody_be_heard_after_such_a_refusal():
    listener, heard = heard_in(1.5, *six(), HIM("row done"), 1.5, HER("listen now"), 1.5,
                               HIM("yes"), 1.5, HIM("row done"), 1.5)  # fmt: skip
    assert [taken for _, taken, _ in heard[-4:]] == [False, False, True, True]
    assert listener.anybody
    listener.sensitivity = EVEN
    listener.feed(scene(1.5, HER("row done"), 1.5))
    assert not listener.anybody


def test_without_a_refusal_the_attention_word_lifts_nothing():
    listener, heard = heard_in(1.5, *six(), HER("listen now"), 1.5, HIM("yes"), 1.5)
    assert heard[-1] == ("yes", False, NOT_HERS)
    assert not listener.anybody


def test_a_rehearsed_voice_counts_from_the_first_word():
    hers = HERS.model_copy(update={"voice": Timbre()})
    listener, _ = heard_in(1.5, *six(), bounds=hers)
    learnt = listener.voice
    for _ in range(ENOUGH):
        learnt = learnt.and_also(listener.voice)
    rehearsed = HERS.model_copy(update={"voice": learnt})
    _, heard = heard_in(1.5, HIM("row done"), 1.5, HER("row done"), 1.5, bounds=rehearsed)
    assert heard == [("row done", False, NOT_HERS), ("row done", True, "")]


@pytest.mark.system
def test_running_sound_in_two_voices():
    """flite's recorded woman rehearses; espeak-ng's man says yes."""
    starter = Recogniser()
    hers = Timbre()
    phrases = ("row done", "take back", "where am i", "say again", "new ball", "loop repaired")
    for phrase in phrases:
        starter.start(Context.ROW)
        starter.feed(flite(phrase).tobytes())
        assert starter.finish().text == phrase
        hers = hers.and_also(starter.voice(phrase))
    assert hers.known
    bounds = BOUNDS[Sensitivity.EVEN].model_copy(update={"voice": hers})
    listener = Listener(starter, lambda: ANY, sensitivity=bounds)
    his = spoken("espeak-ng", "-v", "en-us+m3", "-s", "140", "--stdout", "take back")
    room = np.random.default_rng(1).normal(0, 10, 2 * RATE).astype("<i2")
    heard = []
    for sound in (room, his, room, flite("take back"), room):
        heard += listener.feed(sound.tobytes())
    assert [(one.heard, one.taken, one.reason) for one in heard] == [
        ("take back", False, NOT_HERS),
        ("take back", True, ""),
    ]
    starter.close()


def test_a_profile_keeps_numbers_of_the_voice_once_and_no_sound():
    from counter.sound.profiles import Profiles, bounds_for
    from engine.ears.rehearsal import Try

    voice = Timbre(words=1, linear=(0.5, 1.0), precision=(1.0, 0.0, 1.0))
    one = Try(phrase="row done", heard="row done", confidence=1.0, clear_db=20.0, voice=voice)
    wrong = one.model_copy(update={"heard": "take back"})
    made = Profiles().with_tries("", None, (*[one] * 7, wrong))
    again = Profiles.model_validate_json(made.model_dump_json())
    (profile,) = again.profiles
    assert profile.voice.words == 7
    assert profile.voice.linear == pytest.approx((3.5, 7.0))
    assert all(tried.voice is None for tried in profile.tries)
    assert "voice" not in json.loads(made.model_dump_json())["profiles"][0]["tries"][0]
    # a phrase said again adds to it, a whole rehearsal takes its place
    assert made.with_tries("", None, (one,)).profiles[0].voice.words == 8
    assert made.with_tries("", None, (one,) * 6).profiles[0].voice.words == 6
    assert bounds_for(again, "", None, Sensitivity.EVEN, mine=True).voice == profile.voice
    assert bounds_for(again, "", None, Sensitivity.EVEN).voice is None
    fresh = bounds_for(Profiles(), "", None, Sensitivity.CAREFUL, mine=True)
    assert fresh == BOUNDS[Sensitivity.CAREFUL].model_copy(update={"voice": Timbre()})
    assert bounds_for(Profiles(), "", None, Sensitivity.CAREFUL) is Sensitivity.CAREFUL


def test_whoever_rehearses_is_not_told_that_it_is_not_her_voice():
    from counter.sound.rehearsing import Tries

    tries = Tries(VoicedDecoder())
    tries.expect("row done")
    sound, found = scene(1.5, *six(), HIM("row done"), 2.0), []
    for start in range(0, len(sound), 640):
        if over := tries.feed(sound[start : start + 640]):
            found.append(over[1])
    assert len(found) == ENOUGH + 2
    assert not any(one.fault for one in found)
    assert all(one.voice and one.voice.words == 1 for one in found)
    assert tries.listener.sensitivity.anothers == -math.inf
