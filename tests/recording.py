"""Makes the recording that `spokenrow demo --hear` plays: `python -m tests.recording`.

Spoken by espeak-ng (from the system's packages), with a little even room noise under it, so that
it comes out the same on every machine with the same voice.
"""

import subprocess
import sys

import numpy as np
import soundfile
import soxr

from counter.shared.recordings import demo_recording

RATE = 16_000
VOICE = "en-us"
SAID = (
    (1.2, "row done"),
    (2.0, "dropped loop at four"),
    (2.0, "the kettle is on, would you like a cup of tea before the next boat comes"),
    (2.5, "loop repaired"),
    (2.0, "row done"),
    (2.0, "take back"),
    (2.0, "where am i"),
    (2.0, "row done"),
    (2.0, "rip back one row"),
    (1.8, "yes"),
    (2.0, "row done"),
)
"""Seconds of quiet, then what is said."""
TARGET = demo_recording()


def spoken(text: str, voice: str = VOICE, speed: int = 150) -> np.ndarray:
    """`text` spoken by espeak-ng: float64 samples at RATE, -1 to 1."""
    raw = subprocess.run(
        ["espeak-ng", "-v", voice, "-s", str(speed), "--stdout", text],
        check=True,
        capture_output=True,
    ).stdout
    # espeak-ng writes a WAV header with no length when it writes to a pipe.
    rate = int.from_bytes(raw[24:28], "little")
    samples = np.frombuffer(raw[44:], dtype="<i2") / 32768
    return soxr.resample(samples, rate, RATE)


def room(seconds: float, seed: int = 7, level: float = 0.0008) -> np.ndarray:
    """Even, quiet room noise."""
    return np.random.default_rng(seed).normal(0, level, round(seconds * RATE))


def recording() -> np.ndarray:
    """Everything said, one after the other."""
    pieces = [
        piece for quiet, text in SAID for piece in (np.zeros(round(quiet * RATE)), spoken(text))
    ]
    sound = np.concatenate([*pieces, np.zeros(RATE)]) * 0.6
    return sound + room(len(sound) / RATE)[: len(sound)]


def main() -> int:
    """Write the recording."""
    TARGET.parent.mkdir(exist_ok=True)
    soundfile.write(TARGET, recording(), RATE, subtype="PCM_16")
    print(f"{TARGET} {TARGET.stat().st_size} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main())
