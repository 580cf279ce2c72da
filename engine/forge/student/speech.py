"""Which speech the student learns from, who speaks it, and under which licence.

People come from Debian packages, synthetic voices from `scripted`. Not used at all:
`asterisk-core-sounds-en` and `pocketsphinx-testdata`, whose speakers the hearing bench reports on,
and `asterisk-core-sounds-es-g722`, which names the same speaker as the English prompts.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

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
    Source("asterisk-core-sounds-ru-g722", "usr/share/asterisk/sounds", "(ru)", "CC-BY-3.0"),
    # a game's dialogues between two, in two languages
    Source("fillets-ng-data-cs", "usr/share/games/fillets-ng/sound", r"-([mv])-", "GPL-2"),
    Source("fillets-ng-data-nl", "usr/share/games/fillets-ng/sound", r"-([mv])-", "GPL-2"),
    Source(
        "hedgewars-data",
        "usr/share/games/hedgewars/Data/Sounds/voices",
        r"voices/(\w+)/",
        "GFDL-1.3",
        # a machine and a singer
        skip=r"voices/(Robot|Singer)/",
    ),
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

SHARES = {"kokoro": 0.55, "espeak-ng": 0.15, "": 0.3}
"""How much of what training hears comes from which kind of speaker; the rest are people."""

TUNE = frozenset(
    {
        "klettres-data/de",
        "ktuberling-data/lt",
        "tuxpaint-stamps-default/el",
        "kokoro/af_sky",
        "kokoro/bm_lewis",
    }
)
"""Speakers that choose between networks."""
REPORT = frozenset(
    {
        "klettres-data/en_GB",
        "ktuberling-data/en",
        "asterisk-core-sounds-it-g722/it",
        "kokoro/am_eric",
        "kokoro/bf_isabella",
    }
)
"""Speakers that figures on frames are given for; in no training and no choice."""


def split(speaker: str) -> str:
    """`train`, `tune` or `report`."""
    return "tune" if speaker in TUNE else "report" if speaker in REPORT else "train"


def kind(speaker: str) -> str:
    """The key of `SHARES` that a speaker falls under."""
    package = speaker.partition("/")[0]
    return package if package in SHARES else ""


def written(path: Path, sound: np.ndarray) -> None:
    """Opus at a rate that keeps speech whole and the corpus small enough to carry about."""
    soundfile.write(path, sound, RATE, format="OGG", subtype="OPUS")
