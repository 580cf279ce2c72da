"""Music that goes on in the background while the student learns: General MIDI, played here.

The tunes are those of Debian's openttd-openmsx (GPL-2), the soundfont is fluid-soundfont-gm (MIT),
FluidSynth plays them. What the hearing bench plays is not among them.
"""

import subprocess
from pathlib import Path

import numpy as np

from engine.forge.student.speech import RATE, written

PACKAGES = ("openttd-openmsx", "fluid-soundfont-gm")
FILE = "tunes.ogg"
_TUNES = "usr/share/games/openttd/baseset/openmsx"
_FONT = "usr/share/sounds/sf2/FluidR3_GM.sf2"
NAMES = (
    "boogi_marabi_redfarn", "busy_schedule", "chemistry_lab", "coconut_run2", "flying_scotsman",
    "linns_basket", "mighty_giant_run", "modern_motion", "moo_redfarn", "no_work_song_redfarn",
    "say_what_redfarn", "the_fast_route", "tttheme2", "wood_whistles",
)  # fmt: skip
_PROGRAMS = (11, 13, 16, 25, 32, 40, 54, 56, 65, 71, 74, 89, 105, 107)
"""General MIDI programs, counted from 0, for a second turn of each tune: one instrument alone."""
_SECONDS = 70


def play(folders: dict[str, Path], work: Path) -> None:
    """Writes the music of the unpacked packages into the corpus. Needs fluidsynth and mido."""
    import mido

    pieces = []
    for name, program in zip(NAMES, _PROGRAMS, strict=True):
        for instrument in (None, program):
            score = mido.MidiFile(folders[PACKAGES[0]] / _TUNES / f"{name}.mid")
            for event in (event for track in score.tracks for event in track):
                if instrument is not None and event.type == "program_change":
                    event.program = instrument
            midi, raw = work / "tune.mid", work / "tune.raw"
            score.save(midi)
            command = ["fluidsynth", "-ni", "-q", "-r", str(RATE), "-T", "raw", "-O", "s16"]
            font = folders[PACKAGES[1]] / _FONT
            subprocess.run([*command, "-F", str(raw), str(font), str(midi)], check=True)
            sound = np.fromfile(raw, "<i2").reshape(-1, 2).mean(1)[: _SECONDS * RATE]
            pieces.append(sound / max(1.0, float(sound.std())) * 2000)
            midi.unlink()
            raw.unlink()
    whole = np.clip(np.concatenate(pieces), -32768, 32767).astype(np.int16)
    written(work / "corpus" / FILE, whole)
