"""Stage one: fetch the packages, take the recordings out, bring them to 16 kHz, write a list.

Needs a Debian machine (`apt-get download`, `dpkg`, `ffmpeg`) and espeak-ng for the
synthetic part. Packages are unpacked into the work folder, not installed.
"""

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile
import soxr

from engine.forge.sphinx import model_dir
from engine.forge.student.scripted import scripted
from engine.forge.student.speech import RATE, SOURCES, Source, split, written
from engine.forge.student.tunes import PACKAGES, play

_ENDINGS = {".ogg", ".wav", ".g722"}
_MOST_MINUTES = 12
"""Of one speaker, so that none drowns the others."""
_SHORTEST_S, _LONGEST_S = 0.25, 20.0


def fetch(package: str, work: Path) -> Path:
    """The unpacked package; fetched once."""
    folder = work / "packages" / package
    if not folder.exists():
        debs = work / "debs"
        debs.mkdir(parents=True, exist_ok=True)
        folder.parent.mkdir(exist_ok=True)
        subprocess.run(["apt-get", "download", package], cwd=debs, check=True)
        (deb,) = debs.glob(f"{package}_*.deb")
        subprocess.run(["dpkg", "-x", str(deb), str(folder)], check=True)
    return folder


def recordings(source: Source, root: Path) -> Iterator[tuple[str, Path]]:
    """Speaker and path of each recording of a package."""
    for path in sorted(root.rglob("*")):
        if path.suffix.lower() not in _ENDINGS or re.search(source.skip, path.as_posix()):
            continue
        found = re.search(source.speaker, path.as_posix())
        if found:
            yield f"{source.package}/{found[1]}", path


def decoded(path: Path) -> np.ndarray:
    """16 kHz mono int16; empty for a file that cannot be read."""
    try:
        sound, rate = soundfile.read(path, dtype="float32", always_2d=True)
    except soundfile.LibsndfileError:
        return np.zeros(0, np.int16)
    resampled = soxr.resample(sound.mean(1), rate, RATE)
    return (np.clip(resampled, -1, 1) * 32767).astype(np.int16)


def telephone(paths: list[Path]) -> list[np.ndarray]:
    """G.722 recordings, decoded in one go: two samples a byte, so the cuts are known."""
    pieces = [path.read_bytes() for path in paths]
    whole = subprocess.run(
        ["ffmpeg", "-v", "error", "-f", "g722", "-i", "-", "-f", "s16le", "-"],
        input=b"".join(pieces),
        capture_output=True,
        check=True,
    ).stdout
    cuts = np.cumsum([2 * len(piece) for piece in pieces])[:-1]
    return np.split(np.frombuffer(whole, "<i2"), cuts)


def sounds(paths: list[Path]) -> list[np.ndarray]:
    """Every recording of a package."""
    if paths and paths[0].suffix == ".g722":
        return telephone(paths)
    return [decoded(path) for path in paths]


def capped(sounds: list[np.ndarray]) -> list[np.ndarray]:
    """As many of a speaker's clips as fill the most that one speaker may have."""
    total, kept = 0, []
    for sound in sounds:
        if total < _MOST_MINUTES * 60 * RATE:
            kept.append(sound)
            total += len(sound)
    return kept


def gather(work: Path) -> None:
    """Writes one Opus file a speaker and `speech.json`: speaker, split, clip bounds in samples."""
    clips: dict[str, list[np.ndarray]] = {}
    for source in SOURCES:
        found = list(recordings(source, fetch(source.package, work) / source.root))
        for (speaker, _), sound in zip(found, sounds([p for _, p in found]), strict=True):
            if _SHORTEST_S * RATE <= len(sound) <= _LONGEST_S * RATE:
                clips.setdefault(speaker, []).append(sound)
        print(f"{source.package}: {len(found)} recordings", flush=True)
    corpus = work / "corpus"
    corpus.mkdir(exist_ok=True)
    # The machine that trains then needs no more than this folder.
    shutil.copytree(model_dir(), work / "teacher", dirs_exist_ok=True)
    index = []
    for number, (speaker, all_own) in enumerate(sorted(clips.items())):
        own = capped(all_own)
        name = f"{number:03}.ogg"
        whole = np.concatenate(own)
        written(corpus / name, whole)
        index.append(
            {
                "speaker": speaker,
                "split": split(speaker),
                "file": name,
                "clips": [len(sound) for sound in own],
            }
        )
        print(
            f"{split(speaker):7}{len(whole) / RATE / 60:7.1f} min {len(own):5} {speaker}",
            flush=True,
        )
    (corpus / "speech.json").write_text(json.dumps(index))
    play({package: fetch(package, work) for package in PACKAGES}, work)
    scripted(work)
