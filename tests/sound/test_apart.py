"""Her voice apart from ours: what the ears get while we speak, over simulated ways."""

import numpy as np
import pytest

from counter.sound.apart import Apart
from counter.sound.canceller import Canceller
from counter.sound.residue import BLOCK, RATE
from tests.sound.test_echo import room, speech, sweep

SECONDS = 12


def ours(seconds=SECONDS):
    """A tone at the start, then sentences with pauses of a second."""
    sound = np.zeros(seconds * RATE, np.float32)
    places = [(0.5, sweep())]
    places += [(at_s, speech(2.8, seed=int(at_s))) for at_s in range(3, seconds - 3, 4)]
    for at_s, said in places:
        start = round(at_s * RATE)
        sound[start : start + len(said)] = said
    return sound


def her(at_s, seconds=1.0, level=0.1):
    """A voice that is not ours, alone at that time."""
    sound = np.zeros(SECONDS * RATE, np.float32)
    said = level / 0.1 * speech(seconds, seed=99)
    sound[round(at_s * RATE) :][: len(said)] = said
    return sound


def through(played, response, voice=None, noise_db=-70.0):
    """What the microphone gives."""
    size = 1 << (len(played) + len(response)).bit_length()
    back = np.fft.irfft(np.fft.rfft(played, size) * np.fft.rfft(response, size), size)
    noise = np.random.default_rng(4).normal(0, 10 ** (noise_db / 20), len(played))
    return back[: len(played)] + noise + (0 if voice is None else voice)


def heard_by(apart, played, heard, mic_began_s=0.0):
    """All that the ears get: the samples, and for each whether it is to be heard."""
    sound, open_ = [], []
    for start in range(0, len(played) - BLOCK + 1, BLOCK):
        piece = played[start : start + BLOCK]
        apart.played(piece, start / RATE, sounding=bool(np.any(piece)))
        pcm = (np.clip(heard[start : start + BLOCK], -1, 1) * 32767).astype("<i2").tobytes()
        for given, deaf in apart.heard(pcm, mic_began_s + start / RATE):
            sound.append(np.frombuffer(given, "<i2") / 32768)
            open_.append(np.full(len(sound[-1]), not deaf))
    return np.concatenate(sound), np.concatenate(open_)


def power_db(sound):
    return 10 * np.log10(np.mean(np.square(sound)) + 1e-12)


def between(sound, from_s, to_s):
    return sound[round(from_s * RATE) : round(to_s * RATE)]


@pytest.mark.parametrize(("delay_s", "gain_db"), [(0.02, 0.0), (0.13, -20.0), (0.4, 0.0)])
def test_once_it_knows_the_way_we_are_gone_and_she_is_heard(delay_s, gain_db):
    """She speaks within our second sentence, as loud as it is."""
    played, voice = ours(), her(7.8)
    raw = through(played, room(delay_s, gain_db, 0.3), voice)
    apart = Apart()
    sound, open_ = heard_by(apart, played, raw)
    assert apart.knows
    late = between(open_, 7.0, 10.5)
    assert late.all()
    assert power_db(between(sound, 9.2, 9.8)) < power_db(between(raw, 9.2, 9.8)) - 12 or (
        power_db(between(sound, 9.2, 9.8)) < -60
    )
    alone, given = between(voice, 7.8, 8.8), between(sound, 7.8, 8.8)
    alike = np.corrcoef(alone, given)[0, 1]
    assert alike > 0.9


def test_nothing_is_lost_and_nothing_comes_twice():
    """Without a sound of ours, and with one, as many samples come out as went in."""
    played = ours()
    raw = through(played, room(0.13, 0.0, 0.3))
    sound, _ = heard_by(Apart(), played, raw)
    assert len(sound) == len(raw) // BLOCK * BLOCK
    silent = np.zeros_like(played)
    sound, open_ = heard_by(Apart(), silent, raw)
    assert open_.all()
    assert np.allclose(sound, raw[: len(sound)], atol=1e-3)


def test_a_word_before_the_way_is_known_is_heard_afterwards():
    """The first sentence is ours and she speaks into it: held back, then heard without us."""
    played = np.zeros(SECONDS * RATE, np.float32)
    played[RATE // 2 :][: 6 * RATE] = speech(6.0, seed=3)
    voice = her(4.5)
    raw = through(played, room(0.13, 0.0, 0.2), voice)
    sound, open_ = heard_by(Apart(), played, raw)
    assert between(open_, 4.5, 5.5).all()
    alike = np.corrcoef(between(voice, 4.5, 5.5), between(sound, 4.5, 5.5))[0, 1]
    assert alike > 0.8


def test_where_no_way_is_found_we_are_deaf_while_we_speak():
    """A room so loud that nothing of ours can be found in it."""
    played = ours()
    noise = speech(SECONDS, seed=8) * 3
    raw = through(played, room(0.13, -45.0), noise)
    apart = Apart()
    _, open_ = heard_by(apart, played, raw)
    assert not apart.knows
    assert not between(open_, 3.2, 5.5).any()
    assert between(open_, 0.0, 0.4).all()


def test_another_way_is_noticed_and_learnt():
    """The loudspeaker is put elsewhere: deaf until it is known again, never taken for her."""
    played = np.concatenate([ours(), ours()])
    first = through(played[: SECONDS * RATE], room(0.05, -3.0, 0.3, seed=2))
    later = through(played[SECONDS * RATE :], room(0.2, -3.0, 0.3, seed=7))
    apart = Apart()
    sound, open_ = heard_by(apart, played, np.concatenate([first, later]))
    # What is heard of ours after the change is no louder than a whisper, but for a moment.
    size = 5 * BLOCK
    whole = len(sound) // size * size
    pieces = zip(sound[:whole].reshape(-1, size), open_[:whole].reshape(-1, size), strict=True)
    loud = [power_db(piece) > -35 for piece, heard in pieces if heard.all()]
    assert len(loud) > 100
    assert sum(loud) < 5


def through_two_cards(seconds, share, stands_at_s=None):
    """Read-back with her in its last second, over two clocks that differ by a share and hand sound
    over when they like; the loudspeaker may stand still for 60 ms.

    What the ears get of her second, whether it is to be heard, and her own.
    """
    played = np.concatenate([ours(), ours()])[: seconds * RATE]
    late = np.full(len(played), 0.13 * RATE) + share * np.arange(len(played))
    if stands_at_s is not None:
        late[round(stands_at_s * RATE) :] += 0.06 * RATE
    back = np.interp(np.arange(len(played)) - late, np.arange(len(played)), played)
    hers = np.zeros(len(played))
    hers[-2 * RATE : -RATE] = speech(1.0, seed=99)
    rng = np.random.default_rng(6)
    heard = 0.5 * back + hers + rng.normal(0, 3e-4, len(played))
    apart, given = Apart(), []
    for start in range(0, len(played) - BLOCK + 1, BLOCK):
        at_s = start / RATE
        if stands_at_s is not None and 0 <= at_s - stands_at_s < BLOCK / RATE:
            apart.slipped()
        piece = played[start : start + BLOCK]
        wanders = rng.uniform(0, 0.02, 2)
        apart.played(piece, at_s + wanders[0], sounding=bool(np.any(piece)))
        pcm = (np.clip(heard[start : start + BLOCK], -1, 1) * 32767).astype("<i2").tobytes()
        given += apart.heard(pcm, at_s + wanders[1])
    sound = np.concatenate([np.frombuffer(pcm, "<i2") / 32768 for pcm, _ in given])
    open_ = np.concatenate([np.full(len(pcm) // 2, not deaf) for pcm, deaf in given])
    last = slice((seconds - 2) * RATE, (seconds - 1) * RATE)
    return sound[last], open_[last], hers[last]


@pytest.mark.parametrize(("share", "stands_at_s"), [(1e-4, None), (-1e-4, 15.5)])
def test_two_sound_cards_drift_jitter_and_stand_still(share, stands_at_s):
    """A share of 100 in a million is much for a sound card (common practice, no source)."""
    sound, open_, hers = through_two_cards(22, share, stands_at_s)
    assert open_.all()
    assert np.corrcoef(sound, hers)[0, 1] > 0.9


@pytest.mark.parametrize(
    ("delay_s", "gain_db", "stands_s"), [(0.02, 0.0, 0.1), (0.13, -20.0, 0.0), (0.33, 0.0, 0.06)]
)
def test_after_a_stream_stood_still_the_way_is_soon_trusted_again(delay_s, gain_db, stands_s):
    """And nothing of ours is heard: neither what was on its way, nor what is not there yet.

    Told it is, though not a sample may be lost: that is what an underrun looks like, too.
    """
    played, stands_at = np.concatenate([ours(), ours()]), round(15.5 * RATE)
    out = np.insert(played, stands_at, np.zeros(round(stands_s * RATE)))[: len(played)]
    heard = through(out, room(delay_s, gain_db, 0.3))
    apart, given, again = Apart(), [], None
    for start in range(0, 22 * RATE, BLOCK):
        if 0 <= start - stands_at < BLOCK:
            assert apart.knows
            apart.slipped()
        piece = played[start : start + BLOCK]
        apart.played(piece, start / RATE, sounding=bool(np.any(piece)))
        pcm = (np.clip(heard[start : start + BLOCK], -1, 1) * 32767).astype("<i2").tobytes()
        given += apart.heard(pcm, start / RATE)
        if again is None and start > stands_at + BLOCK and apart.knows:
            again = (start - stands_at) / RATE
    assert again < 2.0
    sound = np.concatenate([np.frombuffer(pcm, "<i2") / 32768 for pcm, _ in given])[stands_at:]
    open_ = np.concatenate([np.full(len(pcm) // 2, not deaf) for pcm, deaf in given])[stands_at:]
    size = 5 * BLOCK
    whole = len(sound) // size * size
    pieces = zip(sound[:whole].reshape(-1, size), open_[:whole].reshape(-1, size), strict=True)
    softly = [power_db(piece) < -35 for piece, is_heard in pieces if is_heard.all()]
    assert len(softly) > 40
    assert all(softly)


def test_a_block_of_another_length_is_refused():
    with pytest.raises(ValueError, match="320"):
        Canceller().feed(np.zeros(100), np.zeros(320))
