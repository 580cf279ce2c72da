"""One subject over the whole corpus, in a process of its own so that its memory can be read."""

import time
from collections import Counter, defaultdict
from pathlib import Path

from tests.bench.hearing import corpus
from tests.bench.hearing.score import Score, score

SUBJECTS = {
    "ears": ("our ears", "Ears", {}),
    "denoised": ("our ears, denoiser", "Ears", {"denoise": True}),
    "careful": ("our ears, careful", "Ears", {"sensitivity": "careful"}),
    "eager": ("our ears, eager", "Ears", {"sensitivity": "eager"}),
    "told": ("the network, told where the word is", "Told", {}),
    "vosk": ("bare vosk", "BareVosk", {}),
    "pocketsphinx": ("pocketsphinx", "PocketSphinx", {}),
}


def resident_mb():
    """Memory of this process, MB, from /proc (0 where there is none)."""
    status = Path("/proc/self/status")
    if not status.exists():
        return 0.0
    line = next(x for x in status.read_text().splitlines() if x.startswith("VmRSS"))
    return int(line.split()[1]) / 1024


def measure(job):
    """One subject over the whole corpus, in a process of its own."""
    key, options = job
    from tests.bench.hearing import subjects

    _, kind, settings = SUBJECTS[key]
    warm = corpus.Stream("", "noise", "", corpus.hiss(30))
    before, began = resident_mb(), time.perf_counter()
    if options["model"] and kind != "PocketSphinx":
        settings = {**settings, "model": options["model"]}
    subject = getattr(subjects, kind)(**settings)
    load_s = time.perf_counter() - began
    subject.hear(warm)
    resident = resident_mb() - before
    cpu = time.process_time()
    subject.hear(corpus.Stream("", "noise", "", corpus.hiss(60)))
    idle = (time.process_time() - cpu) / 60
    scores = defaultdict(Score)
    by_voice = defaultdict(Score)
    if options["lived"]:
        from tests.bench.hearing import lived

        streams = lived.build(options["part"], options["count"], options["only"])
    else:
        streams = corpus.build(options["part"], options["quick"], options["only"])
    for stream in streams:
        cpu = time.process_time()
        known = len(getattr(subject, "refusals", ()))
        moves = subject.hear(stream)
        busy_s = time.process_time() - cpu
        one = score(stream, moves, busy_s, getattr(subject, "refusals", [])[known:])
        scores[stream.kind, stream.condition].add(one)
        if stream.kind == "commands":
            by_voice[stream.voice].add(one)
    refusals = Counter(heard.reason for heard in getattr(subject, "refusals", ()))
    return key, dict(scores), dict(by_voice), load_s, resident, idle, refusals
