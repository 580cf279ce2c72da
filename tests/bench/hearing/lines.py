"""What stands between a voice and the recogniser: codecs, gain controls, pace. By ffmpeg."""

import subprocess

import numpy as np

from tests.bench.hearing.voices import RATE

CODECS = {
    "µ-law": (8000, "mulaw", "pcm_mulaw", "mulaw", ()),
    "GSM": (8000, "gsm", "libgsm", "gsm", ()),
    "mSBC": (16_000, "sbc", "sbc", "sbc", ("-msbc", "1")),
    "Opus 12k": (16_000, "ogg", "libopus", "ogg", ("-b:a", "12k")),
}
"""Rate, container to write, encoder, container to read, options."""


def _piped(pcm, *arguments):
    return subprocess.run(
        ["ffmpeg", "-v", "error", *arguments, "-"], input=pcm, capture_output=True, check=True
    ).stdout


def coded(sound, codec):
    """Through a codec and back, as long as it was."""
    rate, out, encoder, back, options = CODECS[codec]
    pcm = (np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes()
    raw = ("-f", "s16le", "-ar", str(RATE), "-ac", "1", "-i", "-")
    narrow = _piped(pcm, *raw, "-ar", str(rate), "-ac", "1", "-c:a", encoder, *options, "-f", out)
    known = ("-ar", str(rate), "-ac", "1") if back == "mulaw" else ()
    heard = _piped(narrow, "-f", back, *known, "-i", "-", "-f", "s16le", "-ar", str(RATE))
    found = np.frombuffer(heard, "<i2") / 32768
    return np.resize(np.pad(found, (0, max(0, len(sound) - len(found)))), len(sound))


def at_pace(sound, times):
    """Quicker (`times` > 1) or slower, at the same pitch."""
    pcm = (np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes()
    raw = ("-f", "s16le", "-ar", str(RATE), "-ac", "1", "-i", "-")
    found = _piped(pcm, *raw, "-filter:a", f"atempo={times}", "-f", "s16le")
    return np.frombuffer(found, "<i2") / 32768


def pumping(sound, target=0.08, attack_s=0.02, release_s=0.8, most=20.0):
    """An automatic gain control that breathes: the room comes up whenever nobody speaks."""
    hop = RATE // 200
    count = -(-len(sound) // hop)
    frames = np.pad(sound, (0, count * hop - len(sound))).reshape(count, hop)
    level = np.sqrt((frames**2).mean(1)) + 1e-6
    gain, now = np.empty(count), 1.0
    for place, one in enumerate(level):
        wanted = min(target / one, most)
        time_s = attack_s if wanted < now else release_s
        now += (wanted - now) * (1 - np.exp(-0.005 / time_s))
        gain[place] = now
    return sound * np.interp(np.arange(len(sound)), np.arange(count) * hop + hop / 2, gain)
