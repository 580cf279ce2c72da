"""What is measured: our ears, and two recognisers without them, on the same sound.

Each subject takes a stream in 20 ms pieces, as a microphone gives it, and says what it would have
done: a list of (decided_s, Command, withdrawn). The time it takes to compute is added to the time
of the decision, as it is in life.
"""

import json
import shutil
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

from engine.ears import judging
from engine.ears.guard import Sensitivity, judge
from engine.ears.listener import Listener
from engine.words.grammar import numbers, patterns
from engine.words.phrases import phrase_book
from models.command import Command, Context, Situation
from tests.bench.hearing.voices import RATE

_PIECE = 320


class Move(NamedTuple):
    """A command that a subject acted on."""

    decided_s: float
    command: Command
    withdrawn: bool = False


class Ears:
    """Ours: gate, recogniser, guard."""

    def __init__(self, model=None, sensitivity="even", denoise=False, without=""):
        """`without` leaves one step out: the learned "decision", or what is "standing" out."""
        from engine.ears.recogniser import Recogniser

        self._recogniser = Recogniser(Path(model) if model else None)
        if without == "standing":
            self._recogniser.beside = None
        self._judge = _by_rules if without == "decision" else judge
        self._sensitivity = Sensitivity(sensitivity)
        self._cleaner = None
        if denoise:
            from engine.ears.denoise import best_cleaner

            self._cleaner = best_cleaner()
        self.refusals = []
        """Every Heard that was not taken, of all streams."""

    def hear(self, stream):
        expected = iter(stream.said)
        state = {"said": next(expected, None)}
        listener = Listener(
            self._recogniser,
            lambda: _situation(state["said"], listener.now_s),
            sensitivity=self._sensitivity,
            cleaner=self._cleaner,
        )
        moves = []
        judging.judge = self._judge
        for piece, start in _pieces(stream):
            at = start / RATE
            while state["said"] and at > state["said"].end_s + 1.1:
                state["said"] = next(expected, None)
            began = time.perf_counter()
            heard = listener.feed(piece)
            lag = time.perf_counter() - began
            moves += self._moves(heard, lag)
        return moves + self._moves(listener.end(), 0.0)

    def _moves(self, heard, lag):
        self.refusals += [h for h in heard if h.reason]
        return [
            Move(h.decided_s + lag, h.command, h.withdrawn) for h in heard if h.taken or h.withdrawn
        ]


def _by_rules(evidence, situation, asked):
    return judge(evidence.model_copy(update={"fit": None}), situation, asked)


def _situation(said, now_s):
    if said is None or now_s < said.start_s - 0.5:
        return Situation()
    return Situation(context=said.context, question_open=said.context is Context.YES_NO)


class Told:
    """The recogniser alone, told where the word is: what gate and guard could reach at best."""

    _before_s, _after_s = 0.4, 0.3

    def __init__(self, model=None):
        from engine.ears.recogniser import Recogniser

        self._recogniser = Recogniser(Path(model) if model else None)

    def hear(self, stream):
        moves = []
        for said in stream.said:
            start = max(0, round((said.start_s - self._before_s) * RATE))
            end = round((said.end_s + self._after_s) * RATE)
            self._recogniser.start(said.context)
            for at in range(start, end, _PIECE):
                self._recogniser.feed(stream.sound[at : at + _PIECE].tobytes())
            text = self._recogniser.finish().text
            moves += _read(text, said.end_s + self._after_s, stream)
        return moves


class BareVosk:
    """The same model and phrases, Vosk's own end-pointer, no gate and no guard."""

    def __init__(self, model=None):
        import vosk

        from engine.ears.recogniser import starter_dir

        vosk.SetLogLevel(-1)
        # The starter leaves the end of an utterance to the gate; without one Vosk needs its own.
        self._folder = tempfile.TemporaryDirectory(prefix="bare-vosk-")
        bare = Path(self._folder.name) / "model"
        shutil.copytree(model or starter_dir(), bare)
        settings = bare / "conf" / "model.conf"
        kept = [line for line in settings.read_text().splitlines() if "endpoint.rule" not in line]
        settings.write_text("\n".join(kept) + "\n")
        self._model = vosk.Model(str(bare))
        self._decoder = vosk.KaldiRecognizer

    def hear(self, stream):
        decoder = self._decoder(self._model, RATE)
        moves = []
        for piece, start in _pieces(stream):
            began = time.perf_counter()
            ended = decoder.AcceptWaveform(piece)
            at = (start + _PIECE) / RATE + time.perf_counter() - began
            if ended:
                moves += _read(json.loads(decoder.Result())["text"], at, stream)
        return moves + _read(json.loads(decoder.FinalResult())["text"], stream.seconds, stream)


class PocketSphinx:
    """PocketSphinx with the same phrases as a grammar and its own end-pointer."""

    def __init__(self):
        import pocketsphinx

        self._module = pocketsphinx
        self._decoder = pocketsphinx.Decoder(lm=None, loglevel="FATAL")
        self._decoder.add_jsgf_string("commands", _jsgf())
        self._decoder.activate_search("commands")

    def hear(self, stream):
        ends = self._module.Endpointer(sample_rate=RATE)
        pcm = stream.sound.tobytes()
        moves, speaking = [], False
        size = ends.frame_bytes
        for start in range(0, len(pcm) - size, size):
            began = time.perf_counter()
            speech = ends.process(pcm[start : start + size])
            if speech is not None:
                if not speaking:
                    self._decoder.start_utt()
                    speaking = True
                self._decoder.process_raw(speech)
                if not ends.in_speech:
                    self._decoder.end_utt()
                    speaking = False
                    hypothesis = self._decoder.hyp()
                    at = (start + size) / 2 / RATE + time.perf_counter() - began
                    moves += _read(hypothesis.hypstr if hypothesis else "", at, stream)
        if speaking:
            self._decoder.end_utt()
        return moves


def _jsgf():
    """The phrases in the Java Speech Grammar Format.

    Numbers share their beginnings: written out one by one they take the decoder twenty times as
    long, and it hears the same.
    """
    said = [words for words, value in numbers().items() if value < 200]
    digits = " | ".join(" ".join(words) for words, value in numbers().items() if value < 10)
    lines = [
        "#JSGF V1.0;",
        "grammar commands;",
        f"<n> = {_shared(said)};",
        f"<m> = <n> | <n> and a half | <n> point ( {digits} );",
        "public <c> = "
        + " | ".join(
            " ".join(words).replace("{n}", "<n>").replace("{m}", "<m>")
            for words in patterns(Context.NUMBER)
        )
        + ";",
    ]
    return "\n".join(lines)


def _shared(sentences):
    """The sentences as alternatives that share what they begin with."""
    after = {}
    for first, *rest in sentences:
        after.setdefault(first, []).append(rest)
    found = []
    for word, rests in after.items():
        following = [rest for rest in rests if rest]
        inner = _shared(following) if following else ""
        if len(following) < len(rests):
            found.append(f"{word} [ {inner} ]" if inner else word)
        else:
            found.append(f"{word} ( {inner} )")
    return " | ".join(found)


def _read(text, at_s, stream):
    """A bare recogniser's answer as a move, given the same knowledge of what was asked."""
    near = [s for s in stream.said if s.start_s - 0.5 <= at_s <= s.end_s + 3]
    context = near[0].context if near else Context.ROW
    command = phrase_book().read(text, context).command
    if command is None or (command.action in ("yes", "no") and context is not Context.YES_NO):
        return []
    return [Move(at_s, command)]


def _pieces(stream):
    pcm = stream.sound
    for start in range(0, len(pcm) - _PIECE + 1, _PIECE):
        yield pcm[start : start + _PIECE].tobytes(), start
