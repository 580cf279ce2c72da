"""People who talk, and none of it to the counter: television, company, the maker herself."""

import numpy as np

from tests.bench.hearing import corpus, voices
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


_SCRAPS = {
    "tune": (
        "really?", "I had no idea.", "That is what I said.", "Well, perhaps.",
        "Not in this weather.", "Oh dear.", "Go on, tell me.", "Who told you that?",
    ),
    "report": (
        "is that so?", "I never knew.", "So they say.", "Maybe tomorrow.", "In this cold?",
        "Good heavens.", "And then what?", "How would I know?",
    ),
}  # fmt: skip
_ABOUT = {
    "tune": (
        "I {did} {n} rows {when}.", "There were {n} loops on it {when}, I counted.",
        "{who} said to rip back {n} rows, so I {did} it.", "Is it {n} or {m} loops for the sleeve?",
        "{who} measured {n} centimetres and I measured {m}.", "It was too tight {when}.",
        "Can you take the ball back to {who}?", "A loop was dropped at {n}, {who} repaired it.",
    ),
    "report": (
        "{when} I {did} {n} more rows than {who}.", "After {n} loops I lose count, {who} does not.",
        "The marker sits at {n}, not at {m}.", "{who} took it back {n} times {when}.",
        "It fits {who} better than me, I {did} it too loose.",
        "How many rows, {n}? No, {m}, I think.", "We finish the make {when}, {who} and I.",
        "{who} has a new ball of yarn, {n} metres of it.",
    ),
}  # fmt: skip
_SLOTS = {
    "did": ("made", "worked", "started", "undid", "finished", "dropped"),
    "who": ("my sister", "the neighbour", "he", "she", "my aunt", "the teacher", "that shop"),
    "when": ("yesterday", "before lunch", "last week", "on the train", "in one go", "last night"),
    "n": ("four", "seven", "twelve", "fifteen", "twenty", "forty two", "sixty", "ninety"),
    "m": ("five", "nine", "eleven", "fourteen", "thirty", "fifty", "seventy one", "a hundred"),
}


def said(part, rng):
    """What one of them says next: about the work, a scrap, or of something else."""
    kind = rng.random()
    if kind < 0.2:
        return str(rng.choice(_SCRAPS[part]))
    if kind < 0.35:
        return str(rng.choice(ABOUT[part]))
    if kind < 0.6:
        words = corpus.reading(40, seed=int(rng.integers(1000))).split()
        return " ".join(words[: int(rng.integers(2, 9))])
    text = str(rng.choice(_ABOUT[part]))
    text = text.format(**{slot: rng.choice(ways) for slot, ways in _SLOTS.items()})
    return text[0].upper() + text[1:]
