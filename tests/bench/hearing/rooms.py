"""Rooms, by the image-source method and ray tracing of pyroomacoustics (MIT).

R. Scheibler, E. Bezzam and I. Dokmanić, "Pyroomacoustics: A Python Package for Audio Room
Simulation and Array Processing Algorithms", ICASSP 2018.
"""

import numpy as np
from scipy.signal import fftconvolve

from tests.bench.hearing.voices import RATE

SIZES = {
    "tune": ((4.2, 3.4, 2.5), (6.1, 4.4, 2.7)),
    "report": ((3.6, 4.9, 2.4), (5.3, 5.9, 2.9)),
}
"""Metres; each part has rooms of its own."""


def response(part, rt60_s, distance_m, rng, folder):
    """The way from a mouth to a microphone at that distance, off any axis, 16 kHz."""
    import pyroomacoustics as pra

    number = int(rng.integers(6))
    kept = folder / f"room-{part}-{rt60_s}-{distance_m}-{number}.npy"
    if not kept.exists():
        own = np.random.default_rng((number, round(100 * rt60_s), round(100 * distance_m)))
        size = np.array(SIZES[part][number % 2])
        absorption, order = pra.inverse_sabine(rt60_s, size)
        room = pra.ShoeBox(size, RATE, materials=pra.Material(absorption), max_order=min(order, 40))
        while True:
            mouth = own.uniform(0.4, size - 0.4)
            turn, tilt = own.uniform(0, 2 * np.pi), own.uniform(-0.3, 0.1)
            way = np.array([np.cos(turn), np.sin(turn), tilt])
            microphone = mouth + distance_m * way / np.linalg.norm(way)
            if (microphone > 0.2).all() and (microphone < size - 0.2).all():
                break
        room.add_source(mouth)
        room.add_microphone(microphone)
        room.compute_rir()
        found = np.asarray(room.rir[0][0])
        np.save(kept, found.astype(np.float32))
    return np.load(kept)


def heard(sound, way):
    """The sound at the end of such a way, no later than it was made."""
    first = int(np.argmax(np.abs(way)))
    return fftconvolve(sound, way[max(0, first - 16) :])[: len(sound)]
