"""Sounds of a household, made anew for each part: machines, water, bells, doors, needles, throats.

Each is made of what its sound is known for (a motor's harmonics, spray, knocks); the numbers behind
it are drawn from `rng`, within bounds that differ between tuning and reporting.
"""

import numpy as np
from scipy.signal import butter, lfilter, sosfilt

from tests.bench.hearing.voices import RATE


def _time(seconds):
    return np.arange(round(seconds * RATE)) / RATE


def _noise(seconds, low, high, rng):
    sound = rng.normal(size=round(seconds * RATE))
    return sosfilt(butter(2, (low, high), "bandpass", fs=RATE, output="sos"), sound)


def _swell(seconds, rate_hz, rng):
    """Slow random ups and downs, 0 to about 2."""
    points = max(4, round(seconds * rate_hz) + 3)
    return np.interp(
        _time(seconds), np.linspace(0, seconds, points), rng.gamma(3.0, 1 / 3.0, points)
    )


def _motor(seconds, hz, overtones, rng):
    wobble = np.cumsum(1 + 0.004 * _swell(seconds, 2, rng)) / RATE
    return sum(
        np.sin(2 * np.pi * hz * k * wobble + rng.uniform(0, 6)) / k**0.8
        for k in range(1, overtones)
    )


def _knocks(seconds, a_minute, rng, hz=(300, 5000), lasts_s=(0.02, 0.25), dies=(15, 80)):  # noqa: PLR0917
    sound = np.zeros(round((seconds + 1) * RATE))
    for at in rng.uniform(0, seconds, max(1, round(seconds * a_minute / 60))):
        t = _time(rng.uniform(*lasts_s))
        ring = np.sin(2 * np.pi * rng.uniform(*hz) * t) + rng.normal(0, 0.7, len(t))
        start = round(at * RATE)
        sound[start : start + len(t)] += ring * np.exp(-t * rng.uniform(*dies))
    return sound[: round(seconds * RATE)]


def dishwasher(part, seconds, rng):
    """Spray that comes round, a pump and dishes that clink."""
    turn = rng.uniform(0.4, 0.7) if part == "tune" else rng.uniform(0.7, 1.1)
    spray = _noise(seconds, 300, 5000, rng) * (
        1 + 0.8 * np.sin(2 * np.pi * turn * _time(seconds)) + 0.5 * _swell(seconds, 3, rng)
    )
    pump = _motor(seconds, 48 if part == "tune" else 57, 12, rng)
    return 2 * spray + 0.4 * pump + 0.6 * _knocks(seconds, 25, rng, (1500, 5500))


def rain(part, seconds, rng):
    """Drops on a pane over a steady rush."""
    rate = 60 if part == "tune" else 110
    drops = np.zeros(round(seconds * RATE))
    places = rng.integers(0, len(drops), round(seconds * rate))
    np.add.at(drops, places, rng.exponential(8.0, len(places)))
    ring = lfilter([1], [1, -1.5, 0.8] if part == "tune" else [1, -1.1, 0.7], drops)
    return ring + 0.7 * _noise(seconds, 500, 7000, rng) * (0.7 + 0.5 * _swell(seconds, 0.5, rng))


def vacuum(part, seconds, rng):
    """A whine and a rush of air that comes and goes with the stroke."""
    hz = rng.uniform(170, 210) if part == "tune" else rng.uniform(230, 290)
    air = _noise(seconds, 200, 6500, rng) * (1 + 0.35 * np.sin(2 * np.pi * 0.35 * _time(seconds)))
    return 1.5 * air + 0.35 * _motor(seconds, hz, 18, rng)


def fan(part, seconds, rng):
    """An extractor over a stove: steady, with its blades' hum."""
    return _noise(seconds, 80, 3500, rng) + 0.3 * _motor(
        seconds, 98 if part == "tune" else 132, 8, rng
    )


def phone(part, seconds, rng):
    """Rings for two seconds in every five: two tones in turn, or a trill."""
    t = _time(seconds)
    pair = (660, 880) if part == "tune" else (784, 1047)
    step = 0.12 if part == "tune" else 0.07
    hz = np.where((t / step).astype(int) % 2, *pair)
    phase = 2 * np.pi * np.cumsum(hz) / RATE
    tone = sum(np.sin(k * phase) / k for k in (1, 2, 3))
    return tone * ((t + rng.uniform(0, 5)) % 5 < 2.5) + 0.01 * rng.normal(size=len(t))


def kettle(part, seconds, rng):
    """Water that begins to seethe, bubbles and sings."""
    low = 250 if part == "tune" else 400
    seethe = _noise(seconds, low, 3000, rng) * (0.6 + 0.6 * _swell(seconds, 4, rng))
    sings = np.sin(2 * np.pi * (1700 if part == "tune" else 2300) * _time(seconds))
    return seethe + 0.15 * sings * _swell(seconds, 1, rng)


def doors(part, seconds, rng):
    """Doors, drawers and steps: low knocks, some with a rattle."""
    a_minute = 14 if part == "tune" else 20
    low = _knocks(seconds, a_minute, rng, (60, 260), (0.1, 0.4), (10, 35))
    return 2 * low + 0.5 * _knocks(seconds, a_minute, rng, (400, 2500), (0.03, 0.15))


def clicks(part, seconds, rng):
    """Needles: two or three short, bright knocks a second."""
    a_minute = 110 if part == "tune" else 160
    hz = (2200, 5200) if part == "tune" else (1500, 4200)
    return _knocks(seconds, a_minute, rng, hz, (0.008, 0.04), (120, 400))


def clatter(part, seconds, rng):
    """Cups, scissors laid down, a chair."""
    return _knocks(seconds, 40 if part == "tune" else 50, rng)


SOUNDS = {
    each.__name__: each
    for each in (dishwasher, rain, vacuum, fan, phone, kettle, doors, clicks, clatter)
}


def made(name, part, seconds, rng):
    """A sound of the household, root mean square 1 over its louder half second in two."""
    sound = SOUNDS[name](part, seconds, rng)
    whole = sound[: len(sound) // (RATE // 2) * (RATE // 2)].reshape(-1, RATE // 2)
    level = np.sqrt((whole**2).mean(1))
    return sound / max(float(np.quantile(level, 0.75)), 1e-6)


def cough(part, rng):
    """One or two bursts of breath through a throat, peak about 1."""
    pieces = []
    for _ in range(int(rng.integers(1, 3))):
        t = _time(rng.uniform(0.18, 0.3))
        burst = rng.normal(size=len(t)) * np.exp(-t * rng.uniform(10, 18)) * np.minimum(1, t * 90)
        low = rng.uniform(450, 650) if part == "tune" else rng.uniform(650, 900)
        throat = sosfilt(butter(2, (low, low * 3.4), "bandpass", fs=RATE, output="sos"), burst)
        voice = np.sin(2 * np.pi * rng.uniform(110, 220) * t) * np.exp(-t * 14)
        pieces += [throat + 0.3 * voice, np.zeros(round(rng.uniform(0.05, 0.15) * RATE))]
    sound = np.concatenate(pieces[:-1])
    return sound / np.abs(sound).max()


def breath(part, rng):
    """Drawn in through the mouth, peak about 1."""
    t = _time(rng.uniform(0.35, 0.6))
    low = 900 if part == "tune" else 1300
    sound = (
        _noise(len(t) / RATE, low, 5500, rng) * np.maximum(0.0, np.sin(np.pi * t / t[-1])) ** 1.5
    )
    return sound / np.abs(sound).max()
