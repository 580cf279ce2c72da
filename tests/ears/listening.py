"""Run as a program by the sound tests, in the environment of their sound server.

record SECONDS       the microphone's sound to standard output
commands SECONDS     what a listener takes, a line each; and each change of the microphone
tone NAME            plays a tone, and gives what the loudspeaker played to standard output
"""

import sys
import time

from counter.microphone import Microphone, State
from counter.tones import Loudspeaker, Tone
from engine.ears.listener import Listener
from tests.ears.tone_words import ToneDecoder


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
    sound = bytearray(microphone.read())
    loudspeaker.tone(Tone[name])
    assert loudspeaker.sounding
    while loudspeaker.sounding:
        sound += microphone.read()
    loudspeaker.close()
    microphone.close()
    sys.stdout.buffer.write(sound)


if __name__ == "__main__":
    what, argument = sys.argv[1:]
    if what == "tone":
        tone(argument)
    else:
        {"record": record, "commands": commands}[what](float(argument))
