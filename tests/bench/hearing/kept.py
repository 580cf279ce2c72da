"""Streams written down, to be heard on a machine that has none of the voices.

Commands and words are kept as they are (FLAC); hours of talk and music as Opus, as a broadcast is.
What was said in a stream, and when, stands beside it.
"""

import json
from dataclasses import asdict
from pathlib import Path

import numpy as np
import soundfile

from models.command import Context
from tests.bench.hearing.corpus import Said, Stream, wanted
from tests.bench.hearing.voices import RATE


def made(folder, number, order):
    """Makes a stream and keeps it."""
    write(order(), folder, number)


def write(stream, folder, number):
    """Keeps a stream in a folder under a number; gives the path of its sound."""
    as_it_is = stream.kind in ("commands", "words")
    path = folder / f"{number:04}.{'flac' if as_it_is else 'ogg'}"
    if as_it_is:
        soundfile.write(path, stream.sound, RATE, format="FLAC", subtype="PCM_16")
    else:
        whole = stream.sound.astype(np.float32) / 32768
        with soundfile.SoundFile(path, "w", RATE, 1, "OPUS", format="OGG") as file:
            for start in range(0, len(whole), RATE):  # libsndfile takes a long one in pieces only
                file.write(whole[start : start + RATE])
    told = {"condition": stream.condition, "kind": stream.kind, "voice": stream.voice}
    said = [{**asdict(one), "context": one.context.name} for one in stream.said]
    path.with_suffix(".json").write_text(json.dumps({**told, "said": said}))
    return path


def paths(folder, only=None):
    """The sounds that are kept in a folder, the longest to hear first."""
    found = [p for p in Path(folder).iterdir() if p.suffix in (".flac", ".ogg")]
    if only:
        found = [p for p in found if wanted(_told(p)["condition"], only)]
    return sorted(found, key=lambda p: (-soundfile.info(p).frames, p.name))


def _told(path):
    return json.loads(path.with_suffix(".json").read_text())


def read(path):
    """The stream that was kept there."""
    told = _told(path)
    sound, rate = soundfile.read(path, dtype="float32")
    if rate != RATE:
        raise ValueError(f"{path} is not at {RATE} Hz")
    pcm = np.clip(np.round(sound * 32768), -32768, 32767).astype("<i2")
    said = [Said(**{**one, "context": Context[one["context"]]}) for one in told["said"]]
    return Stream(told["condition"], told["kind"], told["voice"], pcm, said)
