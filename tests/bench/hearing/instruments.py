"""Music by real instruments: General MIDI through FluidSynth and a soundfont, and recordings.

The tunes are those of Debian's openttd-openmsx (GPL-2), the soundfont fluid-soundfont-gm (MIT), the
recorded bands asterisk-moh-opsound-g722 (CC-BY-SA). Tuning and reporting hear other instruments,
other tunes and other bands.
"""

import subprocess
from pathlib import Path

import mido
import numpy as np

from tests.bench.hearing import voices
from tests.bench.hearing.voices import RATE

_TUNES = Path("/usr/share/games/openttd/baseset/openmsx")
_FONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
_BANDS = Path("/usr/share/asterisk/moh")
PACKAGES = {
    "fluidsynth": "fluidsynth",
    str(_TUNES): "openttd-openmsx",
    str(_FONT): "fluid-soundfont-gm",
    str(_BANDS): "asterisk-moh-opsound-g722",
}

_DRUMS = 9
"""The channel of the drums in General MIDI, counted from 0."""
# General MIDI programs, counted from 0: what each part calls a piano, and so on.
PROGRAMS = {
    "tune": {"piano": (4, 6, 24), "choir": (53, 91), "strings": (40, 22)},
    "report": {"piano": (0, 1), "choir": (52,), "strings": (48, 73)},
}
"""Keys and plucked strings; people singing; bowed and blown ones."""
TUNES = {
    "tune": ("relax_song", "city_blues_redfarn", "harp_harmony", "mosey_along_redfarn"),
    "report": ("slow_neasy_redfarn", "the_hobo_redfarn", "be_sharp_bw_redfarn", "ultimate_run"),
}  # fmt: skip
BANDS = {
    "tune": ("macroform-cold_day", "manolo_camp-morning_coffee"),
    "report": ("macroform-the_simplicity", "reno_project-system"),
}


def played(tune, program, folder):
    """A tune by one instrument (None: by all that it was written for), -1 … 1 at 16 kHz."""
    kept = folder / f"{tune}-{program}.npy"
    if not kept.exists():
        score = mido.MidiFile(_TUNES / f"{tune}.mid")
        if program is not None:
            for track in score.tracks:
                track[:] = [_by(program, event) for event in track if not _drum(event)]
        midi, raw = kept.with_suffix(".mid"), kept.with_suffix(".raw")
        score.save(midi)
        subprocess.run(
            ["fluidsynth", "-ni", "-q", "-g", "0.5", "-r", str(RATE), "-T", "raw",
             "-O", "s16", "-F", str(raw), str(_FONT), str(midi)],
            check=True, capture_output=True,
        )  # fmt: skip
        sound = np.frombuffer(raw.read_bytes(), "<i2").reshape(-1, 2).mean(1) / 32768
        np.save(kept, sound[: 180 * RATE].astype(np.float32))
        midi.unlink()
        raw.unlink()
    return np.load(kept)


def _drum(event):
    return not event.is_meta and getattr(event, "channel", None) == _DRUMS and event.time == 0


def _by(program, event):
    if event.type == "program_change":
        return event.copy(program=program)
    if getattr(event, "channel", None) == _DRUMS and event.type in ("note_on", "note_off"):
        return event.copy(velocity=0)
    return event


def music(part, kind, seconds, rng, folder):
    """Music of a kind ("piano", "choir", "strings", "band", "recorded"), root mean square 1."""
    if kind == "recorded":
        name = str(rng.choice(BANDS[part]))
        whole = voices.load(_BANDS / f"{name}.g722")
    else:
        tune = str(rng.choice(TUNES[part]))
        program = None if kind == "band" else int(rng.choice(PROGRAMS[part][kind]))
        whole = played(tune, program, folder)
    whole = whole[_first(whole) :]
    start = rng.integers(max(1, len(whole) - round(seconds * RATE)))
    piece = np.resize(whole[start:], round(seconds * RATE))
    return piece / max(piece.std(), 1e-6)


def _first(sound):
    """Where it begins to sound."""
    return int(np.argmax(np.abs(sound) > 0.02 * np.abs(sound).max()))
