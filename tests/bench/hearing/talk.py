"""People who talk, and none of it to the counter: television, company, the maker herself."""

import numpy as np
import pocketsphinx  # noqa: F401  (its dictionary is read)

from engine.forge import lexicon, sphinx
from engine.forge.near import near_phrases
from engine.forge.near import part as part_of
from tests.bench.hearing import corpus, household, instruments, voices
from tests.bench.hearing.corpus import SPEECH_LEVEL, Stream
from tests.bench.hearing.voices import RATE

OWN = {
    "tune": (
        "let me see where this one goes", "that looks about right to me",
        "I wonder if she will like the colour", "oh look the cat is on the yarn again",
    ),
    "report": (
        "I think the kettle has boiled", "now this is the part I like best",
        "she said she would be here by noon", "wait, there is a loop in the wrong place",
    ),
}  # fmt: skip
"""What a maker says to nobody in particular."""

ABOUT = {
    "tune": (
        "I dropped a loop three rows ago and never saw it.",
        "You take the loop from below and pull it through, like that.",
        "Was it forty loops or fourteen? I always forget.",
        "If it does not fit, we rip it back and start again.",
        "My mother said no when I asked for a new ball of yarn.",
        "How many more rows do you have? Ten more rows, I think.",
        "The marker is at loop twelve, just before the sleeve.",
        "Yes, I know, but the yarn was cheaper in that shop.",
        "It is too tight at the neck and too loose at the hem.",
        "She took a break and then went back to work on the sleeve.",
        "Stop listening to him, he has never made a thing in his life.",
        "Can you help me measure this? It should be forty centimetres.",
        "One row done, two hundred to go, as they say.",
        "I will finish the blanket tomorrow, after the market.",
        "Where am I going to put all this wool?",
        "Say that again, I did not catch it over the radio.",
    ),
    "report": (
        "The last row was done before lunch, can you believe it?",
        "I had to take back the whole ball, it was the wrong dye lot.",
        "No, the sleeve has sixty loops, and the body two hundred and ten.",
        "He said yes at once, and I had not even shown him the pattern.",
        "There is a missed loop somewhere around seventeen, look.",
        "It fits him, but only just, and he is still growing.",
        "When I rip back, I always go two rows too far.",
        "Let us take a break here and start again in the morning.",
        "She measured thirteen, I measured thirty, so one of us is wrong.",
        "Help yourself to tea, I only have four more rows to do.",
        "Accept it as it is, nobody will ever see that mark.",
        "You should advance your work a little, it pulls at the edge.",
        "I repaired it twice and it opened again.",
        "That yarn does not reach for a whole scarf.",
        "I am listening now, go on, what did the doctor say?",
        "We finished the make on a Sunday, all of us together.",
    ),
}
"""Conversation about this very work."""


def talkers(shelf, part, count, seconds, own, rng):  # noqa: PLR0917
    """So many people who talk all the time, none of them the maker, root mean square 1."""
    every = list((voices.TUNE if part == "tune" else voices.REPORT).items())
    others = [(name, voice) for name, voice in every if name != own]
    first = rng.integers(len(others))
    mixed = np.zeros(round(seconds * RATE))
    for place in range(count):
        name, voice = others[(first + place) % len(others)]
        sound = long_talk(shelf, name, voice, place + int(rng.integers(2)))
        mixed += np.roll(np.resize(sound, len(mixed)), rng.integers(len(sound)))
    return mixed / mixed.std()


def long_talk(shelf, name, voice, seed):
    """A talker for a background: a minute for a natural voice, else two."""
    natural = name.startswith("natural")
    words, seed = (40, 0) if natural else (240, seed % 2)
    return corpus.at_level(shelf.speech(voice, corpus.reading(words, seed=400 + seed)))


SILENT = ("television", "conversation", "near phrases alone", "music", "clicks and clatter")
"""Conditions in which nothing may move."""


def nothing_said(shelf, part, count):
    """Streams in which nothing may move, of all of `SILENT`."""
    every = voices.TUNE if part == "tune" else voices.REPORT
    base = 40_000 if part == "tune" else 50_000
    rng = np.random.default_rng(base)
    minutes = max(1.0, count / 2)

    def given(sound, kind, name, condition):
        heard = sound + rng.normal(0, 0.0005, len(sound))
        pcm = np.clip(heard * 32768, -32768, 32767).astype("<i2")
        return Stream(condition, kind, name, pcm, [])

    for place, (name, voice) in enumerate(every.items()):
        words = 50 if name.startswith("natural") else round(150 * minutes)
        sound = corpus.at_level(shelf.speech(voice, corpus.reading(words, seed=base + place)))
        yield given(sound * 10 ** (-rng.uniform(0, 14) / 20), "talk", name, "television")
    if part == "report":
        read = corpus.apart([shelf.human(p) for p in voices.human_reading()], rng, (0.3, 0.6))
        yield given(read, "talk", "read aloud", "television")
    clips = []
    people = list(every.values())
    for text in [str(t) for _ in range(max(1, count // 4)) for t in rng.permutation(ABOUT[part])]:
        clips.append(shelf.speech(people[len(clips) % len(people)], text))
    yield given(corpus.apart(clips, rng, (0.2, 2.5)), "talk", "all in turn", "conversation")
    near = sorted(p for p in near_phrases(_dictionary()) if part_of(p) == part)
    picked = rng.choice(near, min(len(near), 60 * count), replace=False)
    quick = {name: voice for name, voice in every.items() if not name.startswith("natural")}
    for place, (name, voice) in enumerate(quick.items()):
        own = picked[place :: len(quick)]
        sound = corpus.apart([shelf.speech(voice, str(text)) for text in own], rng, (1.0, 1.8))
        yield given(sound, "words", name, "near phrases alone")
    for kind in ("piano", "band", "choir", "strings", "recorded"):
        sound = instruments.music(part, kind, 60 * minutes / 2, rng, shelf.folder)
        yield given(sound * SPEECH_LEVEL / 2, "noise", kind, "music")
    for name in ("clicks", "clatter", "doors", "dishwasher", "phone"):
        sound = household.made(name, part, 60 * minutes / 2, rng)
        yield given(sound * SPEECH_LEVEL / 2, "noise", name, "clicks and clatter")


def _dictionary():
    found, _ = lexicon.with_variants(sphinx.read_dictionary())
    return found
