"""Hours in which nothing is said to the counter, and nothing may move.

Each piece is made by itself from a seed of its own, so that they can be made and heard in any
order. Shares of the whole: television 0.45, conversation 0.15, music 0.2, clicks and clatter 0.15,
lone words 0.05.
"""

from functools import cache, partial

import numpy as np

from tests.bench.hearing import corpus, household, instruments, talk, voices
from tests.bench.hearing.corpus import SPEECH_LEVEL, Stream
from tests.bench.hearing.voices import RATE

_PIECE_MIN = 6.0
_WORDS_MIN = 130.0
"""Words that are read in a minute, about."""
_NATURAL_MIN = 2.0
"""A natural voice on the processor takes as long as it speaks: it reads no longer than this."""
_NEAR = 300
_A_STREAM = 20


def orders(part, hours):
    """How each piece is made: (condition, a function of no arguments that gives its stream)."""
    base = 60_000 if part == "tune" else 70_000
    minutes = 60.0 * hours
    found = [
        *_television(part, 0.45 * minutes, base),
        *_pieces("conversation", conversation, part, 0.15 * minutes, base + 1000),
        *_pieces("music", music, part, 0.2 * minutes, base + 2000),
        *_pieces("clicks and clatter", clatter, part, 0.15 * minutes, base + 3000),
        *_lone(part, 0.05 * minutes, base + 4000),
    ]
    for place, name in enumerate(_quick(part)):
        found.append(("near phrases alone", partial(near, part, name, place, base)))
    return found


def _pieces(condition, make, part, minutes, seed):
    count = max(1, round(minutes / _PIECE_MIN))
    return [(condition, partial(make, part, minutes / count, seed + i)) for i in range(count)]


def _quick(part):
    """The voices that are quick to make."""
    every = voices.TUNE if part == "tune" else voices.REPORT
    return [name for name in every if every[name][0] not in ("kokoro", "piper")]


def _voice(part, name):
    return (voices.TUNE if part == "tune" else voices.REPORT)[name]


def _television(part, minutes, seed):
    every = voices.TUNE if part == "tune" else voices.REPORT
    natural = [name for name in every if name not in _quick(part)]
    left = minutes
    for place, name in enumerate(natural):
        yield "television", partial(television, part, name, _NATURAL_MIN, seed + place)
        left -= _NATURAL_MIN
    if part == "report":
        yield "television", partial(read_aloud, seed + 90)
    quick = _quick(part)
    count = max(1, round(left / _PIECE_MIN))
    for place in range(count):
        name = quick[place % len(quick)]
        yield "television", partial(television, part, name, left / count, seed + 100 + place)


def _lone(part, minutes, seed):
    quick = _quick(part)
    each = max(4, round(minutes * 30 / len(quick)))
    for place, name in enumerate(quick):
        yield "lone words", partial(lone, part, name, each, seed + place)
    if part == "report":
        yield "lone words", partial(prompts, seed)


def _given(sound, kind, name, condition, rng):
    heard = sound + rng.normal(0, 0.0005, len(sound))
    pcm = np.clip(heard * 32768, -32768, 32767).astype("<i2")
    return Stream(condition, kind, name, pcm, [])


def television(part, name, minutes, seed):
    """One voice that reads on and on, 0 to 14 dB under a maker's; a third of the time over a band,
    a third with others who answer.
    """
    rng = np.random.default_rng(seed)
    shelf = corpus.Shelf()
    text = corpus.reading(round(minutes * _WORDS_MIN), seed=seed)
    sound = corpus.at_level(shelf.speech(_voice(part, name), text))
    third = seed % 3
    if third == 1:
        band = instruments.music(part, "band", len(sound) / RATE, rng, shelf.folder)
        sound = sound + band[: len(sound)] * SPEECH_LEVEL * 10 ** (-rng.uniform(8, 18) / 20)
    elif third == 2:
        sound = _answered(shelf, part, name, sound, rng)
    return _given(sound * 10 ** (-rng.uniform(0, 14) / 20), "talk", name, "television", rng)


def _answered(shelf, part, name, sound, rng):
    """Sentences of another voice put into a talker's, with short pauses around them."""
    others = [other for other in _quick(part) if other != name]
    pieces, at = [], 0
    while at < len(sound):
        length = round(rng.uniform(4, 15) * RATE)
        pieces.append(sound[at : at + length])
        at += length
        other = str(rng.choice(others))
        text = str(rng.choice(talk.OWN[part] + talk.ABOUT[part]))
        answer = corpus.at_level(shelf.speech(_voice(part, other), text))
        pieces += [np.zeros(round(rng.uniform(0.1, 0.8) * RATE)), answer]
        pieces.append(np.zeros(round(rng.uniform(0.1, 0.8) * RATE)))
    return np.concatenate(pieces)


def read_aloud(seed):
    """Recorded people who read."""
    rng = np.random.default_rng(seed)
    shelf = corpus.Shelf()
    read = corpus.apart([shelf.human(p) for p in voices.human_reading()], rng, (0.3, 0.6))
    return _given(read, "talk", "read aloud", "television", rng)


def conversation(part, minutes, seed):
    """People who talk about this very work, answer each other in scraps, and pause as people do."""
    rng = np.random.default_rng(seed)
    shelf = corpus.Shelf()
    people = [_voice(part, name) for name in rng.permutation(_quick(part))]
    pieces, at, turn = [np.zeros(2 * RATE)], 2.0, 0
    while at < 60 * minutes:
        clip = corpus.at_level(shelf.speech(people[turn % len(people)], talk.said(part, rng)))
        gap = np.zeros(round(rng.uniform(0.2, 2.5) * RATE))
        pieces += [clip * 10 ** (-rng.uniform(0, 8) / 20), gap]
        at += (len(clip) + len(gap)) / RATE
        turn += 1 if rng.random() < 0.8 else 0
    return _given(np.concatenate(pieces), "talk", "all in turn", "conversation", rng)


def music(part, minutes, seed):
    """A tune, by one kind of instrument or by a band."""
    rng = np.random.default_rng(seed)
    kind = ("piano", "band", "choir", "strings", "recorded")[seed % 5]
    sound = instruments.music(part, kind, 60 * minutes, rng, corpus.Shelf().folder)
    level = SPEECH_LEVEL * 10 ** (-rng.uniform(3, 16) / 20)
    return _given(sound * level, "noise", kind, "music", rng)


def clatter(part, minutes, seed):
    """Needles, cups, doors, a machine, a phone."""
    rng = np.random.default_rng(seed)
    name = ("clicks", "clatter", "doors", "dishwasher", "phone", "kettle")[seed % 6]
    sound = household.made(name, part, 60 * minutes, rng)
    level = SPEECH_LEVEL * 10 ** (-rng.uniform(0, 14) / 20)
    return _given(sound * level, "noise", name, "clicks and clatter", rng)


def lone(part, name, count, seed):
    """Dictionary words, each by itself."""
    return _apart(part, name, corpus.foreign_words(count, seed=seed), "lone words", seed)


def near(part, name, place, seed):
    """What sounds like a phrase and is none, each by itself: the share of one voice."""
    picked = np.random.default_rng(seed).choice(_near(part), _NEAR, replace=False)
    own = picked[place :: len(_quick(part))]
    return _apart(part, name, own, "near phrases alone", seed + place)


def many_near(part, count):
    """So many more of them, by all voices of a part in turn: what a judgement is fitted on."""
    every = list(voices.TUNE if part == "tune" else voices.REPORT)
    found = np.random.default_rng(77).permutation(_near(part))[:count]
    shares = [found[at : at + _A_STREAM] for at in range(0, len(found), _A_STREAM)]
    return [
        partial(_apart, part, every[n % len(every)], own, "near phrases alone", 5000 + n)
        for n, own in enumerate(shares)
    ]


@cache
def _near(part):
    import pocketsphinx  # noqa: F401  (its dictionary is read)

    from engine.forge import lexicon, sphinx
    from engine.forge.near import near_phrases
    from engine.forge.near import part as part_of

    dictionary, _ = lexicon.with_variants(sphinx.read_dictionary())
    return sorted(phrase for phrase in near_phrases(dictionary) if part_of(phrase) == part)


def _apart(part, name, texts, condition, seed):
    rng = np.random.default_rng(seed)
    shelf = corpus.Shelf()
    clips = [shelf.speech(_voice(part, name), str(text)) for text in texts]
    return _given(corpus.apart(clips, rng, (1.0, 1.8)), "words", name, condition, rng)


def prompts(seed):
    """One recorded woman's words and sentences, each by itself."""
    rng = np.random.default_rng(seed)
    shelf = corpus.Shelf()
    sound = corpus.apart([shelf.human(path) for path in voices.human_prompts()], rng)
    return _given(sound, "words", "recorded woman", "lone words", rng)
