"""Which speech the student learns from, who speaks it, and under which licence.

All of it comes from Debian packages. Not used at all: `asterisk-core-sounds-en` and
`pocketsphinx-testdata`, whose speakers the hearing bench reports on, and
`asterisk-core-sounds-es-g722`, which names the same speaker as the English prompts.
"""

import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np

RATE = 16_000
"""Samples a second, everywhere in the recipe."""


@dataclass(frozen=True)
class Source:
    """A package, where its recordings lie, and how a speaker is told from a path."""

    package: str
    root: str
    speaker: str
    """A regular expression whose first group names the speaker within the package."""
    licence: str
    """As the package's own copyright file states it."""
    skip: str = r"(?!)"
    """A regular expression for recordings that are no speech."""


SOURCES = (
    Source("asterisk-core-sounds-fr-g722", "usr/share/asterisk/sounds", "(fr)", "CC-BY-SA-3.0"),
    Source("asterisk-core-sounds-it-g722", "usr/share/asterisk/sounds", "(it)", "CC-BY-3.0"),
    Source("asterisk-core-sounds-ru-g722", "usr/share/asterisk/sounds", "(ru)", "CC-BY-SA-3.0"),
    Source("klettres-data", "usr/share/klettres", r"klettres/(\w+)/", "GPL-2+"),
    Source("ktuberling-data", "usr/share/ktuberling/sounds", r"sounds/([\w@]+)/", "GPL-2+"),
    Source(
        "tuxpaint-stamps-default",
        "usr/share/tuxpaint/stamps",
        r"_desc_(\w+)\.",
        "GPL-2",
        # without a language: animal voices and engines, or the English description
        skip=r"^(?!.*_desc_).*$",
    ),
)

TUNE = frozenset({"klettres-data/de", "ktuberling-data/lt", "tuxpaint-stamps-default/el"})
"""Speakers that choose between networks."""
REPORT = frozenset({"klettres-data/en_GB", "ktuberling-data/en", "asterisk-core-sounds-it-g722/it"})
"""Speakers that figures on frames are given for; in no training and no choice."""


def split(speaker: str) -> str:
    """`train`, `tune` or `report`."""
    return "tune" if speaker in TUNE else "report" if speaker in REPORT else "train"


def written(path: Path, sound: np.ndarray) -> None:
    """Opus at a rate that keeps speech whole and the corpus small enough to carry about."""
    subprocess.run(
        ["ffmpeg", "-v", "error", "-y", "-f", "s16le", "-ar", str(RATE), "-ac", "1", "-i", "-",
         "-c:a", "libopus", "-b:a", "24k", "-compression_level", "2", str(path)],
        input=sound.tobytes(),
        check=True,
    )  # fmt: skip
