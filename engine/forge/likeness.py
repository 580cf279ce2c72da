"""Fits what tells voices apart (`ears.likeness`) on the speech that the student learnt from.

    python -m engine.forge.likeness WORK

WORK is the folder of `engine.forge.student`, with its corpus: people, natural and formant voices.
No speaker of its reporting part, nor any voice that only the hearing bench knows, is among them.
Each utterance is counted as it is and once more disturbed. Needs scikit-learn (the extra
`student`). A few minutes on one core.

The factors are found by expectation and maximisation, speaker by speaker (Kenny and others, 2005,
as in `ears.likeness`); then what varies between utterances of one person, likewise, and both are
turned so that the one is the unit matrix and the other diagonal.
"""

import argparse
import json
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import soundfile
from numpy.typing import NDArray

from engine.ears.hers import Timbre
from engine.ears.likeness import CEPSTRA, FILE, Likeness, SpeechSums, stretch
from engine.ears.phones import Phones
from engine.ears.recogniser import starter_dir
from engine.forge.student.speech import RATE

Floats = NDArray[np.float64]
Sound = NDArray[np.int16]

NUMBERS = 24
"""What a speaker is described by."""
_ALIKE, _ALIKE_PITCH = 0.15, 0.1
"""So much of a frame is news: neighbours are nearly the same, more so in their pitch."""
_ROUNDS, _ROUNDS_WITHIN = 12, 8
_HELD = 0.05
"""Each speaker pulls the factors towards nothing by so much of a frame."""
_MOST_FRAMES, _MOST_OF_A_PHONE = 2500, 60
"""No speaker rules the factors, or a phone's mean."""
_PITCH_SPREAD = 0.02
_UTTERANCES, _LONGEST, _SHORTEST, _LISTENED = 14, 1.8, 0.35, 60
"""Utterances of a speaker, and seconds of each; seconds of a file that are looked through."""
_LEVEL = 0.06 * 32768
_SEED, _FOLDS = 11, 4
_ENROLLED, _TRIALS = 8, 12
"""Utterances that a voice is learnt from, and that are held against it, to calibrate."""


class Counted(NamedTuple):
    """An utterance."""

    speaker: str
    number: int
    """Which of hers; the disturbed copy has the same."""
    heard: SpeechSums


@dataclass
class Frames:
    """All frames together, phone by phone, for their spread."""

    counts: Floats
    sums: Floats
    squares: Floats


class Solution(NamedTuple):
    """What is fitted."""

    means: Floats
    ways: Floats
    sure: Floats
    within: Floats


def disturbed(sound: Sound, random: np.random.Generator) -> Sound:
    """Through another microphone, in a room, over noise: by chance."""
    length = len(sound)
    hz = np.fft.rfftfreq(length, 1 / RATE)
    knots = [0, 300, 800, 1800, 3500, 5500, 8000]
    gains = random.normal(0, 3.0, len(knots))
    spectrum = np.fft.rfft(sound.astype(np.float64))
    spectrum *= 10 ** (np.interp(hz, knots, gains - gains.mean()) / 20)
    heard = np.fft.irfft(spectrum, length)
    if random.random() < 0.4:
        heard = _echoed(heard, random)
    if random.random() < 0.7:
        white = np.fft.rfft(random.normal(0, 1, length))
        noise = np.fft.irfft(white * np.maximum(hz, 20) ** -random.uniform(0, 1), length)
        under = 10 ** (-random.uniform(8, 35) / 20)
        heard = heard + noise * under * np.sqrt(np.mean(heard**2) / np.mean(noise**2))
    heard *= 10 ** (random.uniform(-8, 4) / 20)
    return _at_level(heard)


def _echoed(sound: Floats, random: np.random.Generator) -> Floats:
    dies_s = random.uniform(0.15, 0.7)
    time = np.arange(int(dies_s * RATE)) / RATE
    tail = random.normal(0, 1, len(time)) * 10 ** (-3 * time / dies_s)
    tail[: RATE // 320] = 0
    tail *= 10 ** (random.uniform(-14, 3) / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    size = len(sound) + len(tail)
    both = np.fft.rfft(sound, size) * np.fft.rfft(tail, size)
    found: Floats = np.fft.irfft(both, size)[: len(sound)]
    return found


def _at_level(sound: Floats | Sound) -> Sound:
    level = np.sqrt(np.mean(np.square(sound, dtype=np.float64)))
    found: Sound = np.clip(sound * (_LEVEL / max(level, 1.0)), -32768, 32767).astype(np.int16)
    return found


def counted(corpus: Path) -> tuple[list[Counted], Frames]:
    """The utterances of all speakers but the reporting ones, each as it is and disturbed."""
    phones = Phones(starter_dir())
    random = np.random.default_rng(_SEED)
    shape = len(phones.names) - 1, CEPSTRA
    frames = Frames(np.zeros(shape[0]), np.zeros(shape), np.zeros(shape))
    found: list[Counted] = []
    for speaker, sounds in _speakers(corpus):
        taken = 0
        for number in random.permutation(len(sounds)):
            sound = sounds[number][: round(_LONGEST * RATE)]
            if len(sound) < _SHORTEST * RATE or taken == _UTTERANCES:
                continue
            both = [
                _count(phones, one, frames) for one in (_at_level(sound), disturbed(sound, random))
            ]
            found += [
                Counted(speaker, int(number), one) for one in both if one.counts.sum() > _HEARD
            ]
            taken += 1
    return found, frames


_HEARD = 12.0
"""Frames of speech that an utterance must have."""


def _count(phones: Phones, sound: Sound, frames: Frames) -> SpeechSums:
    shares = np.exp(np.logaddexp.reduce(phones.scores(sound), axis=2))[:, 1:]
    cepstra = phones.cepstra(sound)
    heard = stretch(cepstra, shares, sound)
    rows = cepstra[:, 1 : CEPSTRA + 1]
    spoken = shares * (shares.sum(1, keepdims=True) > 0.5)
    frames.counts += heard.counts
    frames.sums += heard.sums
    frames.squares += spoken.T @ np.square(rows)
    return heard


def _speakers(corpus: Path) -> Iterator[tuple[str, list[Sound]]]:
    """Each speaker with her utterances."""
    for kind in ("speech", "natural", "scripted"):
        for entry in json.loads((corpus / f"{kind}.json").read_text(encoding="utf-8")):
            # one speaker is there in four spellings
            if entry["split"] == "report" or "sr@" in entry["speaker"]:
                continue
            sound, _ = soundfile.read(
                corpus / entry["file"], dtype="int16", frames=_LISTENED * RATE
            )
            ends = np.cumsum(entry["clips"])
            whole = ends[ends <= len(sound)].tolist()
            yield entry["speaker"], [sound[a:b] for a, b in zip([0, *whole], whole, strict=False)]


def fitted(utterances: Sequence[Counted], frames: Frames) -> Solution:
    """The means, the factors and what varies within a speaker."""
    by = _by_speaker(utterances)
    counts = np.array([sum(u.heard.counts for u in own) for own in by.values()])
    sums = np.array([sum(u.heard.sums for u in own) for own in by.values()])
    pitches = np.array([sum(u.heard.pitches for u in own) for own in by.values()])
    pitch = np.array([sum(u.heard.pitch for u in own) for own in by.values()])
    weights = np.minimum(counts, _MOST_OF_A_PHONE)[:, :, None]
    phone_means = (weights * sums / np.maximum(counts, 1e-9)[:, :, None]).sum(0) / weights.sum(0)
    told = pitches > 2 * CEPSTRA
    pitch_mean = float(np.mean(pitch[told] / pitches[told]))
    spread = frames.squares / frames.counts[:, None]
    spread = spread - np.square(frames.sums / frames.counts[:, None])
    variance = np.append(spread.ravel(), _PITCH_SPREAD)
    alike = np.append(np.full(spread.size, _ALIKE), _ALIKE_PITCH)
    cap = np.minimum(1.0, _MOST_FRAMES / np.maximum(counts.sum(1), 1.0))
    left = (sums - counts[:, :, None] * phone_means).reshape(len(by), -1)
    ways = _factors(
        counts * cap[:, None],
        pitches * cap,
        np.column_stack([left, pitch - pitches * pitch_mean]) * cap[:, None],
        variance,
        alike,
    )
    means = np.append(phone_means.ravel(), pitch_mean)
    whole = Solution(means, ways, alike / variance, np.zeros(NUMBERS))
    return _turned(whole, by)


def _by_speaker(utterances: Sequence[Counted]) -> dict[str, list[Counted]]:
    found: dict[str, list[Counted]] = defaultdict(list)
    for one in utterances:
        found[one.speaker].append(one)
    return found


def _factors(
    counts: Floats, pitches: Floats, left: Floats, variance: Floats, alike: Floats
) -> Floats:
    """The factors, (phones × CEPSTRA + 1, NUMBERS), of what is left of the speakers' frames."""
    random = np.random.default_rng(0)
    speakers, phones = counts.shape
    cepstra = phones * CEPSTRA
    shape = phones, CEPSTRA, NUMBERS
    ways = random.normal(0, 0.3, (cepstra + 1, NUMBERS)) * np.sqrt(variance)[:, None]
    unit = np.eye(NUMBERS)
    for _ in range(_ROUNDS):
        weighed = ways * (alike / variance)[:, None]
        gains = np.einsum("pdr,pds->prs", ways[:-1].reshape(shape), weighed[:-1].reshape(shape))
        precision = unit + np.tensordot(counts, gains, 1)
        precision += pitches[:, None, None] * np.outer(ways[-1], weighed[-1])
        spread = np.linalg.inv(precision)
        means = np.einsum("srt,st->sr", spread, left @ weighed)
        squares = spread + means[:, :, None] * means[:, None, :]
        seen = np.einsum("sp,srt->prt", counts, squares)
        with_left = np.einsum("spd,sr->pdr", left[:, :-1].reshape(speakers, phones, CEPSTRA), means)
        for phone in range(phones):
            rows = slice(phone * CEPSTRA, (phone + 1) * CEPSTRA)
            held = seen[phone] + _HELD * speakers * unit
            ways[rows] = np.linalg.solve(held, with_left[phone].T).T
        of_pitch = np.tensordot(pitches, squares, 1) + _HELD * unit
        ways[-1] = np.linalg.solve(of_pitch, left[:, -1] @ means)
        ways = ways @ np.linalg.cholesky(squares.mean(0))
    return ways


def _turned(found: Solution, by: Mapping[str, Sequence[Counted]]) -> Solution:
    """The same, so that speakers vary by the unit matrix and utterances by a diagonal one."""
    model = Likeness(told(found, ["?"] * ((len(found.means) - 1) // CEPSTRA), 1.0, 0.0))
    seen = {name: [model.raw(one.heard) for one in own] for name, own in by.items()}
    unit = np.eye(NUMBERS)
    within = unit * 0.5
    for _ in range(_ROUNDS_WITHIN):
        inner = np.linalg.inv(within)
        squares, apart = np.zeros_like(unit), []
        for own in seen.values():
            precision, linear = unit.copy(), np.zeros(NUMBERS)
            for told_of, toward in own:
                widened = np.linalg.inv(unit + told_of @ within)
                precision += widened @ told_of
                linear += widened @ toward
            mean = np.linalg.solve(precision, linear)
            apart.append(np.outer(mean, mean) + np.linalg.inv(precision))
            for told_of, toward in own:
                spread = np.linalg.inv(inner + told_of)
                off = spread @ (toward - told_of @ mean)
                squares += np.outer(off, off) + spread
        within = squares / sum(map(len, seen.values()))
        between = np.mean(apart, 0)
    root = np.linalg.cholesky(between)
    scaled = np.linalg.solve(root, np.linalg.solve(root, within).T).T
    varies, turn = np.linalg.eigh((scaled + scaled.T) / 2)
    return found._replace(ways=found.ways @ root @ turn, within=varies)


def told(found: Solution, phones: Sequence[str], slope: float, offset: float) -> dict[str, Any]:
    """As `likeness.json` has it: a byte for each factor, steps for each column."""
    steps = np.maximum(np.abs(found.ways).max(0), 1e-9) / 127
    return {
        "phones": list(phones),
        "means": np.round(found.means, 4).tolist(),
        "sure": [float(f"{one:.5g}") for one in found.sure],
        "within": [float(f"{one:.5g}") for one in found.within],
        "steps": [float(f"{one:.6g}") for one in steps],
        "slope": round(slope, 5),
        "offset": round(offset, 5),
        "ways": np.round(found.ways / steps).astype(int).tolist(),
    }


def trials(
    model: Likeness, utterances: Sequence[Counted], random: np.random.Generator
) -> tuple[list[float], list[float]]:
    """The odds of utterances held against voices learnt from others: hers, and other people's."""
    by = {
        name: [(one.number, model.voice(one.heard)) for one in own]
        for name, own in _by_speaker(utterances).items()
        if len({one.number for one in own}) >= _ENROLLED + 2
    }
    same: list[float] = []
    other: list[float] = []
    for name, own in by.items():
        learnt = set(random.permutation(sorted({number for number, _ in own}))[:_ENROLLED].tolist())
        hers, seen = Timbre(), set[int]()
        for number, voice in own:
            if number in learnt and number not in seen:  # as it is, not disturbed
                hers = hers.and_also(voice)
                seen.add(number)
        rest = [voice for number, voice in own if number not in learnt]
        for place in random.permutation(len(rest))[:_TRIALS]:
            same.append(model.odds(hers, rest[place]))
        others = [each for each in by if each != name]
        for each in random.permutation(others)[: 3 * _TRIALS].tolist():
            other.append(model.odds(hers, by[each][random.integers(len(by[each]))][1]))
    return same, other


def equal_error(same: Sequence[float], other: Sequence[float]) -> float:
    """The share of errors where as many of hers are refused as of others are taken."""
    bounds = np.sort([*same, *other])
    lost = np.searchsorted(np.sort(same), bounds) / len(same)
    kept = 1 - np.searchsorted(np.sort(other), bounds) / len(other)
    place = int(np.argmin(np.abs(lost - kept)))
    return float(lost[place] + kept[place]) / 2


def held_out(
    utterances: Sequence[Counted], frames: Frames, phones: Sequence[str]
) -> tuple[list[float], list[float]]:
    """Trials of speakers that the model has not met."""
    names = np.random.default_rng(5).permutation(sorted({one.speaker for one in utterances}))
    same: list[float] = []
    other: list[float] = []
    for fold in range(_FOLDS):
        kept = set(names[fold::_FOLDS].tolist())
        solved = fitted([one for one in utterances if one.speaker not in kept], frames)
        model = Likeness(told(solved, phones, 1.0, 0.0))
        own = [one for one in utterances if one.speaker in kept]
        few, many = trials(model, own, np.random.default_rng(fold))
        same += few
        other += many
    return same, other


def main() -> int:
    """Counts, fits, calibrates and writes; tells what was held out."""
    parser = argparse.ArgumentParser(prog="python -m engine.forge.likeness")
    parser.add_argument("work", type=Path)
    parser.add_argument("--into", type=Path, default=Path("engine/ears") / FILE)
    options = parser.parse_args()
    from sklearn.linear_model import LogisticRegression  # nothing else here needs it

    utterances, frames = counted(options.work / "corpus")
    phones = Phones(starter_dir()).names[1:]
    same, other = held_out(utterances, frames, phones)
    odds = np.array([*same, *other])[:, None]
    hers = np.array([True] * len(same) + [False] * len(other))
    calibrated = LogisticRegression(C=1e6, class_weight="balanced").fit(odds, hers)
    slope, offset = float(calibrated.coef_[0, 0]), float(calibrated.intercept_[0])
    whole = told(fitted(utterances, frames), phones, slope, offset)
    options.into.write_text(_packed(whole), encoding="utf-8", newline="\n")
    print(f"{len(utterances)} utterances of {len({u.speaker for u in utterances})} speakers")
    print(f"held out: equal error rate {100 * equal_error(same, other):.1f} in a hundred")
    for bound in (-2.0, -2.5, -3.0, -4.0, -5.0):
        lost = np.mean(np.array(same) * slope + offset < bound)
        kept = np.mean(np.array(other) * slope + offset < bound)
        print(f"below {bound}: {100 * lost:.1f} of hers, {100 * kept:.0f} of others' refused")
    return 0


def _packed(whole: dict[str, Any]) -> str:
    """A line for each entry, and for each row of factors."""
    plain = {name: value for name, value in whole.items() if name != "ways"}
    lines = [f"{json.dumps(name)}: {json.dumps(value)}" for name, value in plain.items()]
    rows = ",\n".join(json.dumps(row, separators=(",", ":")) for row in whole["ways"])
    return "{\n" + ",\n".join(lines) + f',\n"ways": [\n{rows}\n]\n}}\n'


if __name__ == "__main__":
    raise SystemExit(main())
