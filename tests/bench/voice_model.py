"""The starter voice model: its size, its load, what it keeps in memory, and how fast it decodes.

`python -m tests.bench.voice_model`
"""

import resource
import subprocess
import sys
import time
from collections.abc import Iterator

import numpy as np

from engine.ears.recogniser import Recogniser, starter_dir
from models.command import Context

SECONDS = 20
BLOCK = 1600


def resident_mb() -> float:
    """Resident memory of this process now, from the kernel where it says so, else its peak."""
    try:
        with open("/proc/self/statm", encoding="ascii") as file:
            return int(file.read().split()[1]) * resource.getpagesize() / 2**20
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def speechlike() -> np.ndarray:
    """A buzz with moving resonances in syllables: the decoder has all its work with it."""
    rng = np.random.default_rng(2)
    clock = np.arange(SECONDS * 16_000) / 16_000
    sound = np.zeros(len(clock))
    for harmonic in range(1, 30):
        strength = np.exp(-(((harmonic * 120 - 500 - 300 * np.sin(3 * clock)) / 500) ** 2))
        sound += (strength + 0.05) * np.sin(2 * np.pi * 120 * harmonic * clock)
    sound *= np.maximum(0, np.sin(2 * np.pi * 3 * clock)) * 2000
    return (sound + rng.normal(0, 10, len(clock))).astype("<i2")


def figures() -> Iterator[tuple[str, str]]:
    """Name and figure of each measurement."""
    size = sum(path.stat().st_size for path in starter_dir().rglob("*") if path.is_file())
    yield "starter voice model on disk", f"{size / 1e6:.1f} MB"
    import vosk  # noqa: F401 - its own weight is not the model's

    before = resident_mb()
    began, processor = time.perf_counter(), time.process_time()
    recogniser = Recogniser()
    recogniser.start(Context.ROW)
    took, worked = time.perf_counter() - began, time.process_time() - processor
    yield "load", f"{took:.2f} s ({worked:.2f} s of processor)"
    sound = speechlike()
    processor = time.process_time()
    last = 0.0
    for begin in range(0, len(sound), 2 * 16_000):
        recogniser.start(Context.ROW)
        for place in range(begin, min(begin + 2 * 16_000, len(sound)), BLOCK):
            recogniser.feed(sound[place : place + BLOCK].tobytes())
        finish = time.perf_counter()
        recogniser.finish()
        last = max(last, time.perf_counter() - finish)
    yield "real-time factor", f"{(time.process_time() - processor) / SECONDS:.3f}"
    yield "slowest finish of an utterance", f"{last * 1000:.0f} ms"
    yield "resident memory for the recogniser", f"{resident_mb() - before:.0f} MB"
    yield "resident memory, the whole process", f"{resident_mb():.0f} MB"


if __name__ == "__main__":
    if "--here" in sys.argv:
        for name, figure in figures():
            print(f"{name:40} {figure}")
    else:
        # A process of its own, so that nothing else is in its memory.
        subprocess.run([sys.executable, "-m", "tests.bench.voice_model", "--here"], check=True)
