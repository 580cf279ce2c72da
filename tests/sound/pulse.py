"""A sound card made of air: a PulseAudio of the test's own, whose sinks can be listened to.

`testmic` is a microphone that hears what is played into the sink `mic`; `testspk` is a
loudspeaker whose sound comes back as `testspkmon`; `testfeed` plays into the microphone, for the
worst of echoes.
"""

import os
import subprocess
import time

INSTALL = (
    "sudo apt-get install -y --no-install-recommends "
    "libportaudio2 pulseaudio pulseaudio-utils libasound2-plugins"
)
# Without norewinds the first block comes two seconds late.
_SINKS = {
    "mic": "module-null-sink sink_name=mic rate=16000 channels=1 format=s16le norewinds=1",
    "spk": "module-null-sink sink_name=spk rate=48000 channels=2 format=s16le norewinds=1",
}
_OPTIONS = ("--daemonize=no", "--exit-idle-time=-1", "--disallow-exit", "--use-pid-file=no")


class Pulse:
    """One server. `env` is the environment in which a program uses it."""

    def __init__(self, folder):
        self._folder = folder
        self._runtime = folder / "p"
        self._runtime.mkdir(mode=0o700)
        socket = f"unix:{self._runtime}/native"
        (folder / "t.pa").write_text(
            ".fail\n"
            f"load-module module-native-protocol-unix socket={self._runtime}/native"
            " auth-anonymous=1\n"
            f"load-module {_SINKS['mic']}\n"
            f"load-module {_SINKS['spk']}\n"
            "set-default-sink spk\n"
            "set-default-source mic.monitor\n"
        )
        devices = {
            "testmic": "mic.monitor",
            "testspk": "spk",
            "testspkmon": "spk.monitor",
            "testfeed": "mic",
        }
        conf = folder / "asound.conf"
        conf.write_text(
            "</usr/share/alsa/alsa.conf>\n"
            + "".join(
                f'pcm.{name} {{ type pulse server "{socket}" device "{device}" '
                f'hint {{ show on description "{name}" }} }}\n'
                for name, device in devices.items()
            )
            + "pcm.!default { type asym playback.pcm testspk capture.pcm testmic "
            'hint { show on description "default" } }\n'
        )
        self.env = dict(
            os.environ,
            PULSE_SERVER=socket,
            PULSE_RUNTIME_PATH=str(self._runtime),
            ALSA_CONFIG_PATH=str(conf),
        )
        self._server = self._hiss = None

    def start(self):
        with (self._folder / "pulse.log").open("a") as log:
            self._server = subprocess.Popen(
                ["pulseaudio", "-n", "-F", str(self._folder / "t.pa"), *_OPTIONS],
                env=self.env,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=log,
            )
        for _ in range(250):
            asked = subprocess.run(
                ["pactl", "info"], env=self.env, capture_output=True, check=False
            )
            if asked.returncode == 0:
                return
            assert self._server.poll() is None, "pulseaudio ended at once"
            time.sleep(0.02)
        raise AssertionError("pulseaudio did not answer")

    def kill(self):
        if self._server.poll() is None:
            self._server.kill()
        self._server.wait(5)
        if self._hiss is not None:
            self._hiss.kill()
            self._hiss.wait(5)

    def signal(self, number):
        self._server.send_signal(number)

    def unload(self, sink):
        """Takes a sink and its monitor away, as a pulled plug does."""
        for line in self._ask("list", "short", "modules").splitlines():
            if f"sink_name={sink} " in line:
                self._ask("unload-module", line.split()[0])

    def load(self, sink):
        """Brings it back."""
        self._ask("load-module", *_SINKS[sink].split())

    def leak(self, seconds, gain_db):
        """What the loudspeaker plays comes back into the microphone, so late and so loud; and the
        microphone has a soft hiss, 67 dB under full scale, as every one has.
        """
        self._ask(
            *("load-module", "module-loopback", "source=spk.monitor", "sink=mic"),
            f"latency_msec={round(1000 * seconds)}",
            "adjust_time=0",  # else it plays a little quicker or slower, to keep to that
        )
        for line in self._ask("list", "short", "sink-inputs").splitlines():
            self._ask("set-sink-input-volume", line.split()[0], f"{gain_db}dB")
        hiss = ("--raw", "--rate=16000", "--channels=1", "--format=s16le", "--volume=6250")
        self._hiss = subprocess.Popen(
            ["paplay", "--device=mic", *hiss, "/dev/urandom"],
            env=self.env,
            stderr=subprocess.DEVNULL,
        )

    def _ask(self, *words):
        return subprocess.run(
            ["pactl", *words], env=self.env, capture_output=True, text=True, check=True
        ).stdout

    def speak(self, path):
        """Plays a WAV file into the microphone, to its end."""
        subprocess.run(["paplay", "--device=mic", path], env=self.env, check=True)
