"""A lived-in room: what goes on around the maker, between her and the microphone, and in her voice.

Each condition is a stream of commands by each voice of `voices.LIVED`, with its background all
through. Levels are told under her own. Whatever stands in the background of the reporting part
(instruments, tunes, rooms, machines, talkers) is in no other.
"""

from dataclasses import dataclass
from functools import partial

import numpy as np

from models.command import Context
from tests.bench.hearing import corpus, household, instruments, lines, rooms, talk, voices
from tests.bench.hearing.corpus import COMMANDS, CONTEXTS, SPEECH_LEVEL, Said, Stream
from tests.bench.hearing.voices import RATE

NUMBERS = (
    "four", "seven", "twelve", "fifteen", "eighteen", "forty", "sixty three", "ninety",
)  # fmt: skip
_LEAD_S = 4.0


@dataclass(frozen=True)
class Condition:
    """How a stream of commands is said and heard."""

    around: str = ""
    """What goes on in the background, "music piano", "talk 1", "home rain", "pink"."""
    under_db: float = 0.0
    """How far under her."""
    pace: float = 1.0
    before: str = ""
    """What comes out of her mouth just before a command, and its gap in seconds."""
    after: str = ""
    room: tuple[float, float] | None = None
    """Seconds of reverberation, metres."""
    line: str = ""
    level_db: float = 0.0
    speakers: str = "lived"


CONDITIONS = {
    "quiet": Condition(),
    "accents": Condition(speakers="accents"),
    "soft": Condition(level_db=-16),
    "pace 0.7": Condition(pace=0.7),
    "pace 1.3": Condition(pace=1.3),
    "pace 1.6": Condition(pace=1.6),
    "um 0.25 s before": Condition(before="um 0.25"),
    "cough 0.4 s before": Condition(before="cough 0.4"),
    "breath 0.15 s before": Condition(before="breath 0.15"),
    "own talk 0.5 s before": Condition(before="talk 0.5"),
    "own talk 1.0 s before": Condition(before="talk 1.0"),
    "own talk 0.8 s after": Condition(after="talk 0.8"),
    "piano 20 dB": Condition("music piano", 20),
    "piano 10 dB": Condition("music piano", 10),
    "band 30 dB": Condition("music band", 30),
    "band 20 dB": Condition("music band", 20),
    "band 10 dB": Condition("music band", 10),
    "recorded band 20 dB": Condition("music recorded", 20),
    "choir 20 dB": Condition("music choir", 20),
    "choir 10 dB": Condition("music choir", 10),
    "one talker 25 dB": Condition("talk 1", 25),
    "one talker 15 dB": Condition("talk 1", 15),
    "six talkers 20 dB": Condition("talk 6", 20),
    "six talkers 10 dB": Condition("talk 6", 10),
    "0.4 s at 2 m": Condition(room=(0.4, 2.0)),
    "0.6 s at 3 m": Condition(room=(0.6, 3.0)),
    "0.9 s at 3 m": Condition(room=(0.9, 3.0)),
    "0.6 s at 3 m, soft": Condition(room=(0.6, 3.0), level_db=-12),
    "8 kHz µ-law": Condition(line="µ-law"),
    "8 kHz GSM": Condition(line="GSM"),
    "headset mSBC": Condition(line="mSBC"),
    "gain control": Condition("pink", 26, line="gain"),
    "dishwasher 15 dB": Condition("home dishwasher", 15),
    "rain 15 dB": Condition("home rain", 15),
    "vacuum 5 dB": Condition("home vacuum", 5),
    "phone 10 dB": Condition("home phone", 10),
    "kettle 10 dB": Condition("home kettle", 10),
    "fan 10 dB": Condition("home fan", 10),
    "doors 10 dB": Condition("home doors", 10),
    "needle clicks 15 dB": Condition("home clicks", 15),
    "pink 10 dB": Condition("pink", 10),
}
SILENT = (
    "television", "conversation", "music", "clicks and clatter", "lone words", "near phrases alone",
)  # fmt: skip
"""Conditions in which nothing may move: `hours`."""


def speakers(part, condition):
    """The voices of a condition: names to how they are made."""
    every = voices.TUNE if part == "tune" else voices.REPORT
    chosen = voices.ACCENTS if condition.speakers == "accents" else voices.LIVED
    return {name: every[name] for name in chosen[part]}


def texts(rng, count):
    """What is said: commands, and some numbers where one is asked for."""
    picked = [(text, CONTEXTS.get(text, Context.ROW)) for text in rng.permutation(COMMANDS)]
    asked = [(text, Context.NUMBER) for text in rng.permutation(NUMBERS)]
    few = max(1, count // 8)
    chosen = picked[: count - few] + asked[:few]
    return [chosen[place] for place in rng.permutation(len(chosen))]


def stream(shelf, part, name, speaker, count, rng):  # noqa: PLR0917
    """One voice in one condition."""
    condition = CONDITIONS[name]
    voice_name, voice = speaker
    pieces, said, at = [np.zeros(round(_LEAD_S * RATE))], [], _LEAD_S

    def add(sound):
        nonlocal at
        pieces.append(sound)
        at += len(sound) / RATE

    for text, context in texts(rng, count):
        if condition.before:
            kind, gap = condition.before.split()
            add(_utterance(shelf, part, kind, voice, rng))
            add(np.zeros(round(float(gap) * RATE)))
        speech = corpus.at_level(shelf.speech(voice, text))
        if condition.pace != 1.0:
            speech = corpus.trimmed(lines.at_pace(speech, condition.pace))
        said.append(Said(at, at + len(speech) / RATE, str(text), context))
        add(speech)
        if condition.after:
            kind, gap = condition.after.split()
            add(np.zeros(round(float(gap) * RATE)))
            add(_utterance(shelf, part, kind, voice, rng))
        add(np.zeros(round(rng.uniform(1.3, 2.3) * RATE)))
    sound = np.concatenate(pieces)
    folder = shelf.folder
    if condition.room:
        way = rooms.response(part, *condition.room, rng, folder)
        sound = rooms.heard(sound, way)
        sound *= SPEECH_LEVEL / max(corpus.loudness(sound), 1e-6)
    if condition.around:
        noise = _around(shelf, part, condition.around, len(sound) / RATE, voice_name, rng)
        sound = sound + noise[: len(sound)] * SPEECH_LEVEL * 10 ** (-condition.under_db / 20)
    if condition.line == "gain":
        sound = lines.pumping(sound)
    elif condition.line:
        sound = lines.coded(sound, condition.line)
    sound = sound * 10 ** (condition.level_db / 20)
    heard = sound + rng.normal(0, 0.0005, len(sound))
    pcm = np.clip(heard * 32768, -32768, 32767).astype("<i2")
    return Stream(name, "commands", voice_name, pcm, said)


def _utterance(shelf, part, kind, voice, rng):
    """What comes out of the maker's own mouth, beside a command."""
    if kind == "cough":
        return household.cough(part, rng) * SPEECH_LEVEL * 4
    if kind == "breath":
        return household.breath(part, rng) * SPEECH_LEVEL * 0.7
    text = "um" if kind == "um" else str(rng.choice(talk.OWN[part]))
    return corpus.at_level(shelf.speech(voice, text))


def _around(shelf, part, what, seconds, own, rng):  # noqa: PLR0917
    """A background, root mean square 1 where it is loud."""
    kind, *how = what.split()
    if kind == "music":
        return instruments.music(part, how[0], seconds, rng, shelf.folder)
    if kind == "home":
        return household.made(how[0], part, seconds, rng)
    if kind == "talk":
        return talk.talkers(shelf, part, int(how[0]), seconds, own, rng)
    return corpus.pink(seconds, rng)


def orders(part, count=12, only=None, hours=0.5):
    """How each stream is made: functions of no arguments that give one. `count` commands for each
    voice in each condition, and `hours` in which nothing is said.
    """
    base = 20_000 if part == "tune" else 30_000
    found = []
    for number, name in enumerate(CONDITIONS):
        if corpus.wanted(name, only):
            for place, speaker in enumerate(speakers(part, CONDITIONS[name]).items()):
                seed = base + 100 * number + place
                found.append(partial(_made, part, name, speaker, count, seed))
    if any(corpus.wanted(name, only) for name in SILENT):
        from tests.bench.hearing import hours as silent

        found += [make for name, make in silent.orders(part, hours) if corpus.wanted(name, only)]
    return found


def _made(part, name, speaker, count, seed):
    shelf = corpus.Shelf()
    return stream(shelf, part, name, speaker, count, np.random.default_rng(seed))
