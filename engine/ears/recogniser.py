"""The one module that knows Vosk: sound in, recognised words out.

The shipped starter model has graphs of its own: the phrases, near neighbours of them and a garbage
filler, so it takes no word list; where an answer is expected, a graph in which that is likelier.
Every other Vosk model is given the phrases of the listening
context as a dynamic grammar with "[unk]" (or its own unknown word).
"""

from __future__ import annotations

import copy
import json
import lzma
import shutil
import tempfile
from concurrent.futures import ThreadPoolExecutor
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from engine.base.refusal import Refusal
from engine.ears.fit import Fit
from engine.ears.hers import Timbre
from engine.ears.intact import damage
from engine.ears.likeness import voice_in
from engine.ears.noise import NoiseRemover
from engine.ears.phones import FILE as PHONES_FILE
from engine.ears.phones import Phones
from engine.ears.symbols import NoWordsError, model_words
from engine.words.grammar import prompts, vocabulary
from models.command import Context
from models.frozen import Frozen

RATE_HZ: Final = 16000
_FRAME: Final = 320
"""Samples that a loudness is measured over: 20 ms."""
_LOUDEST: Final = 32768 / 10
"""Root mean square of a frame, -20 dB of full scale: the starter's network heard voices of -50 to
-21 dB. A near voice is turned down."""
_SPARE: Final = 2.0
"""By so much more, lest the next frame ask for it again."""
UNKNOWN: Final = "[unk]"
"""What unknown speech reads as, whatever the model's own word for it."""
_ANSWERS = (Context.NUMBER, Context.YES_NO)
_UNKNOWN_SPELLINGS = (UNKNOWN, "<UNK>", "<unk>")


class ModelError(Refusal):
    """A model folder is missing, damaged or not one that can be used; its text is one sentence."""


class HeardWord(Frozen):
    """One recognised word; times in seconds from the start of the utterance."""

    word: str
    start_s: float
    end_s: float
    confidence: float


class Hypothesis(Frozen):
    """What one utterance was taken for."""

    text: str
    """Words joined by spaces; empty when nothing was recognised."""
    confidence: float
    """0 to 1, of the least sure word; 0 when nothing was recognised."""
    words: tuple[HeardWord, ...]


def starter_dir() -> Path:
    """The folder of the voice model that comes with the program."""
    return Path(str(files("engine.ears"))) / "starter" / "model"


def context_graph(model_dir: Path, context: Context) -> Path:
    """Where a model may keep a graph of its own for a listening context, packed by xz: one for all
    in which an answer is expected.
    """
    name = "answer" if context in _ANSWERS else context.name.lower()
    return model_dir / "contexts" / f"{name}.fst.xz"


def missing_words(model_dir: Path, language: str = "en") -> list[str]:
    """The command words of `language` that the model's word list lacks, in order.

    Raises ModelError when the folder holds no word list.
    """
    known = known_words(model_dir)
    return sorted(word for word in vocabulary(language) if word not in known)


def known_words(model_dir: Path) -> frozenset[str]:
    """Every word that the model in a folder can hear.

    Raises ModelError when the folder holds no word list.
    """
    try:
        return model_words(model_dir)
    except NoWordsError as error:
        if str(error):
            raise ModelError(
                f"The voice model in {model_dir} is damaged: {error} is not a word list; "
                "unpack it again."
            ) from error
        raise ModelError(
            f"No voice model in {model_dir}: its word list graph/words.txt is missing; "
            "give the folder of an unpacked Vosk model."
        ) from error


def _config(model_dir: Path) -> dict[str, str]:
    """The options of a model's conf/model.conf, without their dashes."""
    try:
        lines = (model_dir / "conf" / "model.conf").read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return {}  # `_load` says what is wrong with it
    pairs = (line.strip().removeprefix("--").split("=", 1) for line in lines if "=" in line)
    return dict(pairs)


class Recogniser:
    """Vosk behind four calls: start, feed, finish, close. Not for use by two threads at once."""

    def __init__(self, model_dir: Path | None = None, language: str = "en") -> None:
        """Loads a model: None is the starter. Raises ModelError, and FileNotFoundError for an
        unknown language.
        """
        self._dir = starter_dir() if model_dir is None else model_dir
        self._language = language
        known = known_words(self._dir)
        self._unknown = next((word for word in _UNKNOWN_SPELLINGS if word in known), UNKNOWN)
        self._own_graph = (self._dir / "graph" / "HCLG.fst").is_file()
        # Vosk writes word times as if every frame were 30 ms long, whatever the model's rate.
        self._frame_scale = (
            1.0 if _config(self._dir).get("frame-subsampling-factor") != "1" else 1 / 3
        )
        _look_at(self._dir)
        # Vosk and xz work outside the interpreter's lock, so all is read side by side.
        with ThreadPoolExecutor(2) as pool:
            model = pool.submit(_vosk_model, self._dir, self._dir)
            models = pool.submit(_load_contexts, self._dir)
            told = (self._dir / PHONES_FILE).is_file()
            self._phones = Phones(self._dir) if told else None
        self._model = model.result()
        self._models = models.result()
        """Where the model has a graph for a context, the model with that graph."""
        # A model that takes its running mean off was trained on sound with the noise removed.
        normalised = (self._dir / "am" / "global_cmvn.stats").is_file()
        self._noise = NoiseRemover() if self._own_graph and normalised else None
        self._loudest = _LOUDEST if self._own_graph and not normalised else None
        self._gain = 1.0
        self._heard: list[NDArray[np.int16]] = []
        self._scores: NDArray[np.float32] | None = None
        """Of what was heard, once they are asked for."""
        self._decoder: Any = None
        self._context: Context | None = None
        self._fed = 0
        self._began = 0
        self._words: list[HeardWord] = []

    def start(self, context: Context) -> None:
        """Begins an utterance in `context`; an unfinished one is dropped."""
        if self._decoder is None or context is not self._context:
            self._decoder = self._new_decoder(context)
            self._fed = 0
        elif self._fed > self._began:
            self._decoder.FinalResult()
        if self._noise:
            self._noise.begin()
        self._gain = 1.0
        self._heard.clear()
        self._scores = None
        self._context = context
        self._began = self._fed
        self._words = []

    def feed(self, pcm: bytes) -> str:
        """Takes sound (16 kHz, mono, 16-bit little-endian) and returns the text so far."""
        if self._decoder is None:
            raise RuntimeError("feed before start")
        if self._loudest:
            pcm = self._softened(np.frombuffer(pcm, "<i2"), self._loudest)
        self._fed += len(pcm) // 2
        if self._noise:
            pcm = self._noise.process(np.frombuffer(pcm, "<i2")).astype("<i2").tobytes()
        if self._decoder.AcceptWaveform(pcm):
            self._keep(self._decoder.Result())
            partial = ""
        else:
            partial = json.loads(self._decoder.PartialResult()).get("partial", "")
        said = [heard.word for heard in self._words]
        return " ".join(said + [self._plain(word) for word in partial.split()])

    def finish(self) -> Hypothesis:
        """Ends the utterance."""
        if self._decoder is None:
            raise RuntimeError("finish before start")
        self._keep(self._decoder.FinalResult())
        heard = tuple(self._words)
        self._words = []
        self._began = self._fed
        return Hypothesis(
            text=" ".join(word.word for word in heard),
            confidence=min((word.confidence for word in heard), default=0.0),
            words=heard,
        )

    def fit(self, text: str) -> Fit | None:
        """How well the words of a text, as `finish` gave it, fit the sound of that utterance, phone
        by phone; None where the model does not tell, or the words do not fit in.
        """
        scores = self._scored(text)
        return self._phones.fit(scores, text) if self._phones and scores is not None else None

    def unlike(self, text: str) -> float | None:
        """How much likelier the words of a text, as `finish` gave it, are in the sound of that
        utterance than with one of them replaced by a word that sounds like it, natural logarithm;
        None where the model does not tell, or the words do not fit in.
        """
        scores = self._scored(text)
        return self._phones.unlike(scores, text) if self._phones and scores is not None else None

    def _scored(self, text: str) -> NDArray[np.float32] | None:
        """The utterance's scores, worked out once; None where the model does not tell of `text`."""
        if self._phones is None or not self._heard or not self._phones.knows(text):
            return None
        if self._scores is None:
            self._scores = self._phones.scores(self._sound())
        return self._scores

    def voice(self, text: str) -> Timbre | None:
        """How whoever said the words of a text, as `finish` gave it, sounds; None where the model
        does not tell.
        """
        fit = self.fit(text)
        if fit is None or self._phones is None or self._scores is None:
            return None
        return voice_in(self._sound(), self._phones, self._scores, fit)

    def _sound(self) -> NDArray[np.int16]:
        """What the decoder took since the utterance began."""
        sound = np.clip(np.concatenate(self._heard) * self._gain, -32768, 32767)
        found: NDArray[np.int16] = sound.astype(np.int16)
        return found

    def beside(self) -> Recogniser:
        """Another one on the same model, for sound that is heard while this one is in the midst of
        an utterance. It lives no longer than this one.
        """
        other = copy.copy(self)
        other._decoder, other._context = None, None
        other._heard, other._words, other._scores = [], [], None
        return other

    def close(self) -> None:
        """Frees the model."""
        self._decoder = None
        self._model = None
        self._models = {}

    def _new_decoder(self, context: Context) -> Any:
        import vosk

        if self._model is None:
            raise RuntimeError("the recogniser is closed")
        if self._own_graph:
            decoder = vosk.KaldiRecognizer(self._models.get(context, self._model), RATE_HZ)
        else:
            grammar = [*prompts(context, self._language), self._unknown]
            decoder = vosk.KaldiRecognizer(
                self._model, RATE_HZ, json.dumps(grammar, ensure_ascii=False)
            )
        decoder.SetWords(True)
        return decoder

    def _softened(self, sound: NDArray[np.int16], loudest: float) -> bytes:
        """What the decoder takes next: the sound or, once it is too loud, all of the utterance
        again, turned down by as much; a step within it would read as another sound.
        """
        self._heard.append(sound)
        self._scores = None
        whole = len(sound) // _FRAME * _FRAME
        frames = sound[:whole].astype(np.float64).reshape(-1, _FRAME)
        level = float(np.sqrt(np.square(frames).mean(1)).max(initial=0.0))
        if level * self._gain > loudest:
            self._gain = loudest / level / _SPARE
            self._decoder.FinalResult()
            self._began = self._fed
            self._words = []
            sound = np.concatenate(self._heard)
        return (sound * self._gain).astype("<i2").tobytes()

    def _keep(self, result: str) -> None:
        offset = self._began / RATE_HZ
        for word in json.loads(result).get("result", ()):
            self._words.append(
                HeardWord(
                    word=self._plain(word["word"]),
                    start_s=max(0.0, (word["start"] - offset) * self._frame_scale),
                    end_s=max(0.0, (word["end"] - offset) * self._frame_scale),
                    confidence=min(1.0, word["conf"]),
                )
            )

    def _plain(self, word: str) -> str:
        return UNKNOWN if word in _UNKNOWN_SPELLINGS else word


def _look_at(model_dir: Path) -> None:
    """Raises ModelError for what can be seen to be wrong with a folder; silences Vosk's own log."""
    for needed in ("am/final.mdl", "conf/model.conf"):
        if not (model_dir / needed).is_file():
            raise ModelError(
                f"The voice model in {model_dir} is incomplete: {needed} is missing; "
                "unpack it again."
            )
    if broken := damage(model_dir):
        raise ModelError(
            f"The voice model in {model_dir} is damaged: {broken} is not as it should be; unpack "
            "it again."
        )
    try:
        import vosk
    except (ImportError, OSError) as error:
        raise ModelError(
            f"The speech recogniser does not load here ({error}); install it with: pip install vosk"
        ) from error
    vosk.SetLogLevel(-1)


def _vosk_model(folder: Path, told: Path) -> Any:
    import vosk

    try:
        return vosk.Model(str(folder))
    except Exception as error:  # vosk raises a bare Exception
        raise ModelError(f"The voice model in {told} does not load; unpack it again.") from error


def _load_contexts(model_dir: Path) -> dict[Context, Any]:
    """The models of a folder's context graphs. Vosk takes one graph from a folder, under one name,
    so each takes its turn in a copy of the folder while it is read.
    """
    own = {context: context_graph(model_dir, context) for context in Context}
    own = {context: graph for context, graph in own.items() if graph.is_file()}
    found: dict[Context, Any] = {}
    if not own:
        return found
    try:
        with tempfile.TemporaryDirectory(prefix="spokenrow-") as scratch:
            for source in model_dir.rglob("*.*"):
                if source.is_file() and source.suffix not in (".fst", ".xz"):
                    target = Path(scratch) / source.relative_to(model_dir)
                    target.parent.mkdir(parents=True, exist_ok=True)
                    shutil.copyfile(source, target)
            for graph in dict.fromkeys(own.values()):
                unpacked = lzma.decompress(graph.read_bytes())
                (Path(scratch) / "graph" / "HCLG.fst").write_bytes(unpacked)
                model = _vosk_model(Path(scratch), model_dir)
                found |= {context: model for context, path in own.items() if path == graph}
    except lzma.LZMAError as error:
        raise ModelError(
            f"The voice model in {model_dir} is damaged: a graph in its folder contexts cannot be "
            "unpacked; unpack the model again."
        ) from error
    except OSError as error:
        raise ModelError(
            f"The voice model in {model_dir} cannot be laid out in the temporary folder "
            f"({error.strerror or error}): make room there."
        ) from error
    return found
