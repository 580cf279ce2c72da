"""Run as a program by the sound tests, in the environment of their sound server.

record SECONDS       the microphone's sound to standard output
mute                 what is said of a microphone that gives zeros, until it gives more
commands SECONDS     what a listener takes, a line each; and each change of the microphone
echo deaf|open        what is heard of our own voice; with "far" before it, through the room
tone NAME            plays a tone, and gives what the loudspeaker played to standard output
"""

import sys
import time
from types import SimpleNamespace

from counter.sound import microphone as microphones
from counter.sound.echo import RATE, Steady
from counter.sound.microphone import Microphone, State
from counter.sound.speech import Speaker
from counter.sound.tones import Loudspeaker, ToneShape, rising_sound
from engine.ears.guard import Sensitivity
from engine.ears.listener import Listener
from tests.ears.tone_words import ToneDecoder

_TRIES, _LATEST_S, _QUIET = 5, 5.0, 2 * 16_000 // 5
"""The last is a fifth of a second of sound, in bytes."""


def say(line):
    print(line, file=sys.stderr, flush=True)


def record(seconds, device="testmic"):
    microphone = Microphone(device)
    microphone.open()
    say("listening")
    sound = bytearray()
    while len(sound) < 32_000 * seconds and microphone.state is State.OPEN:
        sound += microphone.read()
    microphone.close()
    sys.stdout.buffer.write(sound)


def mute():
    microphones._DEAD_S = 1.0
    microphone = Microphone("testmic")
    microphone.open()
    for wanted in (State.DEAD, State.OPEN):
        while microphone.state is not wanted:
            microphone.read()
        say(f"{wanted.value}: {microphone.trouble}")
    microphone.close()


def commands(seconds):
    microphone = Microphone("testmic")
    microphone.open()
    listener = Listener(ToneDecoder())
    say("listening")
    state, end = State.OPEN, time.monotonic() + seconds
    while time.monotonic() < end:
        for heard in listener.feed(microphone.read()):
            if heard.taken:
                say(f"taken {heard.command.action}")
        if microphone.state is not state:
            state = microphone.state
            say(f"microphone {state}")
    microphone.close()


def tone(name):
    microphone = Microphone("testspkmon")
    loudspeaker = Loudspeaker("testspk")
    assert loudspeaker.open(), loudspeaker.trouble
    microphone.open()
    time.sleep(0.5)
    slips, told = [], loudspeaker.apart.slipped
    loudspeaker.apart.slipped = lambda: (slips.append(1), told())
    for _ in range(_TRIES):
        before = microphone.breaks, len(slips)
        sound = _played(loudspeaker, microphone, ToneShape[name])
        if (microphone.breaks, len(slips)) == before:
            break  # else the machine was too busy to play it, or to hear it, in one piece
    loudspeaker.close()
    microphone.close()
    sys.stdout.buffer.write(sound)


def _played(loudspeaker, microphone, tone):
    """What the microphone gives of it: to its end, however late a busy machine hands that over."""
    sound = bytearray(microphone.read())
    loudspeaker.tone(tone)
    assert loudspeaker.sounding
    end = time.monotonic() + _LATEST_S
    while time.monotonic() < end:
        sound += microphone.read()
        if not loudspeaker.sounding and any(sound) and not any(sound[-_QUIET:]):
            break
    return sound


class Parrot:
    """Takes every sound for a command."""

    def start(self, context):
        pass

    def feed(self, pcm):
        return "row done"

    def finish(self):
        return SimpleNamespace(text="row done", confidence=1.0, words=())


def echo(ears):
    loudspeaker = Loudspeaker("testspk" if ears.startswith("far") else "testfeed")
    assert loudspeaker.open(), loudspeaker.trouble
    microphone = Microphone("testmic")
    microphone.open()
    listener = Listener(Parrot(), sensitivity=Sensitivity.EAGER)
    speaker = Speaker(loudspeaker)
    end = time.monotonic() + 3
    said = False
    steady, path = Steady(RATE), None
    loudspeaker.play(rising_sound())
    while time.monotonic() < end:
        sound = microphone.read(0.02)
        at_s = steady.at(time.monotonic(), len(sound) // 2)
        for start in range(0, len(sound), 640):
            piece = sound[start : start + 640]
            path = loudspeaker.echo.path_s or path  # a busy machine may lose it again
            ours = loudspeaker.echo.heard(piece, at_s + start / 2 / RATE)
            for heard in listener.feed(piece, deaf=ours and ears.endswith("deaf")):
                say(f"heard {heard.heard}: {heard.reason or 'taken'}")
        if not said and time.monotonic() > end - 0.3:
            speaker.say("row done")
            said, end = True, end + 3
    speaker.close()
    loudspeaker.close()
    microphone.close()
    say(f"level {listener.room_db:.0f}")
    say(f"path {path:.3f}" if path else "path unknown")


if __name__ == "__main__":
    what, *argument = sys.argv[1:]
    if what in ("tone", "echo", "mute"):
        {"tone": tone, "echo": echo, "mute": mute}[what](*argument)
    else:
        {"record": record, "commands": commands}[what](*map(float, argument))
