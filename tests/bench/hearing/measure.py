"""One subject over the whole corpus: what it costs by itself, and what it hears in many places."""

import multiprocessing
import time
from collections import Counter, defaultdict
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench.hearing import corpus
from tests.bench.hearing.score import Score, score

SUBJECTS = {
    "ears": ("our ears", "Ears", {}),
    "denoised": ("our ears, denoiser", "Ears", {"denoise": True}),
    "careful": ("our ears, careful", "Ears", {"sensitivity": "careful"}),
    "eager": ("our ears, eager", "Ears", {"sensitivity": "eager"}),
    "rules": ("our ears, the old row of rules decides", "Ears", {"without": "decision"}),
    "standing": ("our ears, nothing stands out", "Ears", {"without": "standing"}),
    "told": ("the network, told where the word is", "Told", {}),
    "vosk": ("bare vosk", "BareVosk", {}),
    "pocketsphinx": ("pocketsphinx", "PocketSphinx", {}),
}
"""What is measured: a key, what it is called, how it is made (`subjects`)."""


@dataclass
class Result:
    """All that was found of a subject."""

    key: str
    load_s: float
    resident_mb: float
    idle: float
    """Processor seconds for each second of silence."""
    scores: dict = field(default_factory=lambda: defaultdict(Score))
    by_voice: dict = field(default_factory=lambda: defaultdict(Score))
    refusals: Counter = field(default_factory=Counter)

    def add(self, kind, condition, voice, one, refusals):
        """One more stream."""
        self.scores[kind, condition].add(one)
        if kind == "commands":
            self.by_voice[voice].add(one)
        self.refusals.update(refusals)


def resident_mb():
    """Memory of this process, MB, from /proc (0 where there is none)."""
    status = Path("/proc/self/status")
    if not status.exists():
        return 0.0
    line = next(x for x in status.read_text().splitlines() if x.startswith("VmRSS"))
    return int(line.split()[1]) / 1024


def measure(key, orders, model=None, jobs=1):
    """A subject over the streams of `orders` (functions that give one), in so many processes."""
    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, spawn) as pool:
        result = Result(key, *pool.submit(_costs, key, model).result())
    with ProcessPoolExecutor(jobs, spawn, initializer=_begin, initargs=(key, model)) as pool:
        for heard in pool.map(_heard, orders):
            result.add(*heard)
    return result


_own = {}
"""The subject of a worker process."""


def _made(key, model):
    from tests.bench.hearing import subjects

    _, kind, settings = SUBJECTS[key]
    if model and kind != "PocketSphinx":
        settings = {**settings, "model": model}
    return getattr(subjects, kind)(**settings)


def _costs(key, model):
    """Seconds to load, MB, and the processor's share in silence."""
    from tests.bench.hearing import subjects  # noqa: F401 (what it needs itself is not counted)

    warm = corpus.Stream("", "noise", "", corpus.hiss(30))
    before, began = resident_mb(), time.perf_counter()
    subject = _made(key, model)
    load_s = time.perf_counter() - began
    subject.hear(warm)
    resident = resident_mb() - before
    cpu = time.process_time()
    subject.hear(corpus.Stream("", "noise", "", corpus.hiss(60)))
    return load_s, resident, (time.process_time() - cpu) / 60


def _begin(key, model):
    _own["subject"] = _made(key, model)


def _heard(order):
    stream, subject = order(), _own["subject"]
    known = len(getattr(subject, "refusals", ()))
    cpu = time.process_time()
    moves = subject.hear(stream)
    busy_s = time.process_time() - cpu
    refusals = getattr(subject, "refusals", [])[known:]
    one = score(stream, moves, busy_s, refusals)
    return stream.kind, stream.condition, stream.voice, one, Counter(h.reason for h in refusals)
