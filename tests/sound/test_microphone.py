"""The microphone's life against a PortAudio that misbehaves on demand."""

import sys
from types import SimpleNamespace

import numpy as np
import pytest

from counter.sound import microphone as module
from counter.sound.microphone import RATE, Microphone, MicrophoneError, State, microphones

try:
    from sounddevice import CallbackFlags as Flags
except OSError:
    Flags = None


class PortAudioError(Exception):
    pass


class FakePortAudio:
    """A sounddevice with two microphones and a loudspeaker."""

    PortAudioError = PortAudioError

    def __init__(self):
        self.devices = [
            {"name": "Speaker", "max_input_channels": 0, "default_samplerate": 48_000.0},
            {"name": "Webcam", "max_input_channels": 1, "default_samplerate": 44_100.0},
            {"name": "Headset USB", "max_input_channels": 2, "default_samplerate": 48_000.0},
        ]
        self.default = SimpleNamespace(device=(1, 0))
        self.rates = (16_000, 44_100, 48_000)
        self.busy = False
        self.streams = []
        self.refreshed = 0

    def query_devices(self, device=None, kind=None):
        if device is None and kind is None:
            return self.devices
        if not any(d["max_input_channels"] for d in self.devices):
            raise PortAudioError("Error querying device -1")
        return self.devices[1 if device is None else device]

    def RawInputStream(self, **options):
        if self.busy:
            raise PortAudioError("Device unavailable [PaErrorCode -9985]")
        if options["samplerate"] not in self.rates:
            raise PortAudioError("Invalid sample rate [PaErrorCode -9997]")
        stream = FakeStream(options)
        self.streams.append(stream)
        return stream

    def _terminate(self):
        self.refreshed += 1

    def _initialize(self):
        pass


class FakeStream:
    def __init__(self, options):
        self.options = options
        self.active = False

    def start(self):
        self.active = True

    def abort(self):
        self.active = False

    def close(self):
        self.active = False

    def hears(self, samples, status=None):
        data = np.asarray(samples, "<i2")
        size = self.options["blocksize"]
        for start in range(0, len(data), size):
            self.options["callback"](data[start : start + size].tobytes(), size, None, status)


@pytest.fixture
def portaudio(monkeypatch):
    fake = FakePortAudio()
    monkeypatch.setitem(sys.modules, "sounddevice", fake)
    return fake


@pytest.fixture
def clock(monkeypatch):
    clock = SimpleNamespace(now=100.0)
    monkeypatch.setattr(module.time, "monotonic", lambda: clock.now)
    return clock


def opened(name=None, **options):
    microphone = Microphone(name, **options)
    microphone.open()
    return microphone


def test_sound_comes_through_as_it_is(portaudio):
    microphone = opened()
    sound = np.arange(1, 1001)
    portaudio.streams[0].hears(sound)
    assert microphone.read() == sound.astype("<i2").tobytes()
    assert microphone.read(0.01) == b""


@pytest.mark.parametrize(
    ("name", "device"), [(None, 1), ("webcam", 1), ("Headset USB", 2), ("usb", 2)]
)
def test_chosen_by_name_or_a_part_of_it(portaudio, name, device):
    opened(name)
    assert portaudio.streams[0].options["device"] == device


def test_an_unknown_name_says_which_there_are(portaudio):
    with pytest.raises(MicrophoneError, match=r"'banjo'; there are: Webcam, Headset USB\."):
        opened("banjo")
    assert microphones() == ["Webcam", "Headset USB"]


def test_a_device_with_its_own_rate_is_resampled(portaudio):
    portaudio.rates = (44_100,)
    microphone = opened()
    t = np.arange(44_100) / 44_100
    portaudio.streams[0].hears(8000 * np.sin(2 * np.pi * 440 * t))
    sound = np.frombuffer(microphone.read(), "<i2")
    assert 15_000 < len(sound) <= 16_000  # the resampler keeps the last few milliseconds
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    assert spectrum.argmax() * 16_000 / len(sound) == pytest.approx(440, abs=2)


def test_no_portaudio_says_how_to_get_it(monkeypatch):
    class Missing:
        def find_spec(self, name, path=None, target=None):
            if name == "sounddevice":
                raise OSError("PortAudio library not found")

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Missing(), *sys.meta_path])
    with pytest.raises(MicrophoneError, match="PortAudio is missing; install it"):
        opened()


def test_no_microphone_and_a_busy_one_are_said_in_a_sentence(portaudio):
    portaudio.busy = True
    with pytest.raises(MicrophoneError, match=r"is another program using it\?"):
        opened("webcam")
    portaudio.busy = False
    portaudio.devices = portaudio.devices[:1]
    portaudio.default.device = (-1, 0)
    with pytest.raises(MicrophoneError, match="no microphone is connected"):
        opened()


def ends(portaudio, clock):
    portaudio.streams[-1].options["finished_callback"]()


def stops_being_active(portaudio, clock):
    portaudio.streams[-1].active = False


def goes_quiet(portaudio, clock):
    clock.now += 2


@pytest.mark.parametrize("loss", [ends, stops_being_active, goes_quiet])
def test_every_kind_of_loss_is_noticed_and_it_comes_back(portaudio, clock, loss):
    around = []
    microphone = opened("webcam", around_refresh=lambda act: (around.append(1), act()))
    loss(portaudio, clock)
    microphone.read(0.001)
    assert microphone.state is State.LOST
    assert "'webcam' is gone" in microphone.trouble

    webcam = portaudio.devices.pop(1)
    clock.now += 3
    microphone.read(0.001)
    assert microphone.state is State.LOST
    assert portaudio.refreshed == len(around) == 1

    portaudio.devices.append(webcam)
    clock.now += 3
    microphone.read(0.001)
    assert microphone.state is State.OPEN
    assert microphone.trouble == ""
    portaudio.streams[-1].hears([1, 2, 3])
    assert microphone.read() == np.array([1, 2, 3], "<i2").tobytes()


def test_digital_silence_for_long_is_said_and_sound_ends_it(portaudio, clock):
    microphone = opened()
    for _ in range(30):
        clock.now += 1
        portaudio.streams[0].hears(np.zeros(320))
        microphone.read(0.001)
    assert microphone.state is State.DEAD
    assert "gives only silence" in microphone.trouble
    portaudio.streams[0].hears(np.ones(320))
    microphone.read(0.001)
    assert microphone.state is State.OPEN


def test_one_that_gives_only_silence_is_opened_anew_beside_it(portaudio, clock):
    """A sound server may have moved the stream to another source, and keeps it there."""
    microphone = opened("webcam")
    before = microphone.breaks
    for _ in range(30):
        clock.now += 1
        portaudio.streams[-1].hears(np.zeros(320))
        microphone.read(0.001)
    assert microphone.state is State.DEAD
    assert len(portaudio.streams) == 2
    assert not portaudio.streams[0].active
    portaudio.busy = True  # a device that only one stream may use
    for _ in range(30):
        clock.now += 1
        portaudio.streams[1].hears(np.zeros(320))
        microphone.read(0.001)
    assert microphone.state is State.DEAD
    assert portaudio.streams[1].active
    portaudio.busy = False
    for _ in range(11):
        clock.now += 1
        portaudio.streams[-1].hears(np.zeros(320))
        microphone.read(0.001)
    assert len(portaudio.streams) == 3
    portaudio.streams[-1].hears(np.ones(320))
    microphone.read(0.001)
    assert microphone.state is State.OPEN
    assert microphone.breaks == before


@pytest.mark.parametrize("rate", [RATE, 44_100])
def test_sound_that_stops_dead_is_a_break_where_the_room_was_never_silent(portaudio, rate):
    portaudio.rates = (rate,)
    microphone = opened()
    room, nothing = np.full(rate, 3), np.zeros(rate // 4)
    for _ in range(70):
        portaudio.streams[0].hears(room)
        microphone.read()
    ends = np.concatenate([room[: rate // 5], nothing])
    portaudio.streams[0].hears(ends)
    before = len(microphone.read()) / 2 / RATE
    assert microphone.breaks == 1
    assert before - 0.2 < 0.1  # too little quiet to decide anything
    after = len(microphone.read()) / 2 / RATE
    assert before + after == pytest.approx(len(ends) / rate, abs=0.05)
    assert microphone.breaks == 1
    portaudio.streams[0].hears(ends)
    microphone.read()
    assert microphone.breaks == 1, "known by now as one that closes itself"


def test_what_nobody_takes_does_not_grow_for_ever(portaudio):
    microphone = opened()
    for block in range(1000):
        portaudio.streams[0].hears(np.full(320, block + 1))
    sound = np.frombuffer(microphone.read(), "<i2")
    assert len(sound) == 500 * 320
    assert sound[-1] == 1000
    assert microphone.breaks == 1


def taken(microphone):
    """(breaks, first and last sample) of each read until nothing comes any more."""
    found = []
    while True:
        breaks = microphone.breaks
        sound = np.frombuffer(microphone.read(0.001), "<i2")
        if not len(sound) and microphone.breaks == breaks:
            return found
        found.append((microphone.breaks - breaks, *(sound[[0, -1]] if len(sound) else ())))


def numbered(portaudio, first, last, status=None):
    for block in range(first, last + 1):
        portaudio.streams[-1].hears(np.full(320, block), status)


def test_a_full_queue_is_a_break_where_the_sound_is_missing(portaudio):
    microphone = opened()
    numbered(portaudio, 1, 10)
    assert taken(microphone) == [(0, 1, 10)]
    numbered(portaudio, 11, 600)
    # Nothing of it is heard as if it followed on what was heard before.
    assert taken(microphone) == [(1,), (0, 101, 600)]
    numbered(portaudio, 601, 605)
    assert taken(microphone) == [(0, 601, 605)]


@pytest.mark.parametrize("flag", ["input_overflow", "input_underflow"])
@pytest.mark.parametrize("rate", [RATE, 44_100])
def test_what_portaudio_says_it_lost_is_a_break_before_what_it_gives(portaudio, flag, rate):
    """Source: PortAudio's documentation of paInputOverflow and paInputUnderflow."""
    portaudio.rates = (rate,)
    microphone = opened()
    fine = SimpleNamespace(input_overflow=False, input_underflow=False)
    lost = SimpleNamespace(**{**vars(fine), flag: True})
    stream = portaudio.streams[0]
    stream.hears(np.full(rate // 10, 5), fine)
    stream.hears(np.full(rate // 50, 7), lost)
    stream.hears(np.full(rate // 10, 7), fine)
    before = np.frombuffer(microphone.read(), "<i2")
    assert microphone.breaks == 1
    after = np.frombuffer(microphone.read(), "<i2")
    assert microphone.breaks == 1
    if rate == RATE:
        assert set(before) == {5}
        assert set(after) == {7}
    assert microphone.trouble == ""


@pytest.mark.skipif(Flags is None, reason=module.NEEDS_PORTAUDIO)
def test_real_flags_of_sounddevice_are_understood(portaudio):
    microphone = opened()
    numbered(portaudio, 1, 1, Flags())
    numbered(portaudio, 2, 2, Flags(2))  # paInputOverflow
    assert taken(microphone) == [(1, 1, 1), (0, 2, 2)]


def test_sound_that_gets_lost_again_and_again_is_told_until_it_does_not(portaudio, clock):
    microphone = opened("webcam")
    lost = SimpleNamespace(input_overflow=True, input_underflow=False)
    for block in range(1, 7):
        clock.now += 0.5
        numbered(portaudio, block, block, lost)
        taken(microphone)
    assert "has gaps" in microphone.trouble
    assert microphone.state is State.OPEN
    for _ in range(11):
        clock.now += 1
        numbered(portaudio, 9, 9)
        taken(microphone)
    assert microphone.trouble == ""


def test_what_was_heard_before_the_microphone_went_does_not_go_on_after_it(portaudio, clock):
    microphone = opened("webcam")
    numbered(portaudio, 1, 3)
    microphone.read()
    lost = SimpleNamespace(input_overflow=True, input_underflow=False)
    numbered(portaudio, 4, 4)
    numbered(portaudio, 5, 5, lost)
    goes_quiet(portaudio, clock)
    assert microphone.read(0.001) == np.full(320, 4, "<i2").tobytes()
    assert microphone.breaks >= 1
    clock.now += 3
    microphone.read(0.001)
    assert microphone.state is State.OPEN
    numbered(portaudio, 8, 9)
    assert taken(microphone) == [(0, 8, 9)]
