"""A voice of the program's own: short texts read aloud through the loudspeaker stream.

The voice is espeak-ng, from the optional wheel `espeakng-loader` or, failing that, the program
`espeak-ng`. It is GPL-3 and no part of this program: it is loaded only where it was installed.
Sound goes through `Loudspeaker`, so `Loudspeaker.sounding` keeps the ears deaf while it speaks.
"""

from __future__ import annotations

import ctypes
import functools
import io
import queue
import shutil
import subprocess
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
import soundfile

from counter.sound import natural
from counter.sound.natural import Prepared
from counter.sound.tones import Loudspeaker, Sound

NEEDS_VOICE = (
    "No voice: espeak-ng is not installed; install it (pip install 'spokenrow[voice]', or on "
    "Debian and Ubuntu: sudo apt-get install -y espeak-ng). The screen says it all."
)
_SLOWEST_S = 10.0
_WORDS_A_MINUTE = 175
"""espeak-ng's own pace."""

SpeakingVoice = Callable[[str], tuple[Sound, int]]
"""A text to samples of -1 … 1 and their rate in Hz."""


@dataclass(frozen=True)
class Manner:
    """How it is read out."""

    natural: bool = True
    """By the natural voice, where it is installed."""
    pace: float = 1.0
    """So many times the voice's own pace."""


def find_voice(language: str = "en", pace: float = 1.0) -> SpeakingVoice | None:
    """The wheel's voice, else the program's, else None."""
    try:
        return LibraryVoice(language, pace)
    except (ImportError, OSError):
        return ProgramVoice(language, pace) if shutil.which("espeak-ng") else None


class LibraryVoice:
    """espeak-ng as a library, from its wheel. Any number of them, in any thread."""

    def __init__(self, language: str = "en", pace: float = 1.0) -> None:
        """Raises ImportError or OSError where the wheel is not there or does not load."""
        self._language = language
        self._words_a_minute = round(_WORDS_A_MINUTE * pace)
        with _ONE_AT_A_TIME:
            _espeak().choose(language)

    def __call__(self, text: str) -> tuple[Sound, int]:
        """The text as sound. Raises OSError where the language has gone."""
        with _ONE_AT_A_TIME:
            library = _espeak()
            library.choose(self._language)
            library.hurry(self._words_a_minute)
            return library.speak(text)


# The library keeps all it has in global variables: started a second time it speaks from tables
# that are no longer there, and two threads in it at once do the same to each other.
_ONE_AT_A_TIME = threading.Lock()


@functools.cache
def _espeak() -> _Espeak:
    return _Espeak()


class _Espeak:
    """The loaded library: one in a process, used under the lock above."""

    def __init__(self) -> None:
        import espeakng_loader

        self._library = ctypes.CDLL(espeakng_loader.get_library_path())
        self._pieces: list[bytes] = []

        def keep(samples: int | None, count: int, _events: object) -> int:
            if samples and count > 0:
                self._pieces.append(ctypes.string_at(samples, 2 * count))
            return 0

        kind = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p)
        self._keep = kind(keep)  # the library holds it; Python must not drop it
        data = espeakng_loader.get_data_path().encode()
        synchronous, buffer_ms, no_exit = 2, 50, 0x8000
        self._rate = self._library.espeak_Initialize(synchronous, buffer_ms, data, no_exit)
        if self._rate <= 0:
            raise OSError("espeak-ng does not start")
        self._library.espeak_SetSynthCallback(self._keep)
        self._library.espeak_Synth.argtypes = [
            ctypes.c_char_p,
            ctypes.c_size_t,
            ctypes.c_uint,
            ctypes.c_int,
            ctypes.c_uint,
            ctypes.c_uint,
            ctypes.c_void_p,
            ctypes.c_void_p,
        ]

    def choose(self, language: str) -> None:
        if self._library.espeak_SetVoiceByName(language.encode()) != 0:
            raise OSError(f"espeak-ng does not speak {language}")

    def hurry(self, words_a_minute: int) -> None:
        rate, relative = 1, 0
        self._library.espeak_SetParameter(rate, words_a_minute, relative)

    def speak(self, text: str) -> tuple[Sound, int]:
        self._pieces.clear()
        said, utf8 = text.encode(), 1
        self._library.espeak_Synth(said, len(said) + 1, 0, 1, 0, utf8, None, None)
        self._library.espeak_Synchronize()
        samples = np.frombuffer(b"".join(self._pieces), "<i2")
        return samples.astype(np.float32) / np.float32(32768), self._rate


class ProgramVoice:
    """espeak-ng as a program."""

    def __init__(self, language: str = "en", pace: float = 1.0) -> None:
        self._language = language
        self._words_a_minute = round(_WORDS_A_MINUTE * pace)

    def __call__(self, text: str) -> tuple[Sound, int]:
        """The text as sound. Raises OSError or subprocess.SubprocessError where that fails."""
        wav = subprocess.run(
            [
                "espeak-ng",
                "-v",
                self._language,
                "-s",
                str(self._words_a_minute),
                "--stdout",
                "--stdin",
            ],
            input=text.encode(),
            capture_output=True,
            check=True,
            timeout=_SLOWEST_S,
        ).stdout
        sound, rate = soundfile.read(io.BytesIO(wav), dtype="float32")
        return sound, rate


class Speaker:
    """Reads texts aloud, one at a time; a newer one takes the place of what still waits."""

    def __init__(self, loudspeaker: Loudspeaker, language: str = "en") -> None:
        self.trouble = ""
        """Why it is silent, in one sentence; empty when it is not."""
        self._loudspeaker = loudspeaker
        self._language = language
        self._manner = Manner()
        self._wanted = self._manner
        self._prepared: Prepared | None = None
        self._coming: tuple[str, ...] = ()
        self._texts: queue.Queue[str | None] = queue.Queue()
        self._thread = threading.Thread(target=self._work, name="speech", daemon=True)
        self._thread.start()

    def say(self, text: str) -> None:
        """Drops what is being said and says this. Returns at once."""
        self.hush()
        if text:
            self._texts.put(text)

    def use(self, manner: Manner) -> None:
        """Speaks so from the next text on."""
        self._wanted = manner
        if manner.natural:
            self._texts.put("")  # it takes long to load: the thread begins before it is needed

    def prepare(self, texts: Iterable[str]) -> None:
        """These will be said next: a slow voice has them ready by then."""
        self._coming = tuple(texts)
        if self._prepared is not None:
            self._prepared.prepare(self._coming)

    def all_ready(self, texts: Iterable[str]) -> bool:
        """Whether a slow voice has all of these prepared; so it is where none is slow.

        Not before the voice that is wanted has been found.
        """
        if self._wanted != self._manner:
            return False
        prepared = self._prepared
        return prepared is None or bool(prepared.trouble) or all(map(prepared.ready, texts))

    def hush(self) -> None:
        """Falls silent at once: for a key that interrupts."""
        try:
            while True:
                self._texts.get_nowait()
        except queue.Empty:
            self._loudspeaker.hush()

    def close(self) -> None:
        """Ends the thread."""
        self.hush()
        self._texts.put(None)
        self._thread.join(_SLOWEST_S)
        if self._prepared is not None:
            self._prepared.close()

    def _work(self) -> None:
        voice: SpeakingVoice | None = None
        while (text := self._texts.get()) is not None:
            if voice is None or self._wanted != self._manner:
                voice = self._found()
            if not text:
                continue
            if voice is None:
                self.trouble = NEEDS_VOICE
                continue
            try:
                sound, rate = voice(text)
            except (OSError, subprocess.SubprocessError) as error:
                self.trouble = f"The voice failed ({error}): the screen says it all."
                continue
            self.trouble = self._prepared.trouble if self._prepared is not None else ""
            if self._texts.empty():
                self._loudspeaker.play(sound, rate)

    def _found(self) -> SpeakingVoice | None:
        """The voice that speaks as is wanted now."""
        manner = self._wanted
        if self._prepared is not None:
            self._prepared.close()
            self._prepared = None
        small = find_voice(self._language, manner.pace)
        if small is not None and manner.natural and natural.speaks(self._language):
            opened = functools.partial(natural.synthesiser, self._language, manner.pace)
            self._prepared = Prepared(opened, small)
            self._prepared.prepare(self._coming)
        self._manner = manner
        return self._prepared or small
