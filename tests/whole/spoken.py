"""A make from an empty shelf to its end by voice alone, through a real stream.

    python -m tests.whole.spoken [--leak MS] [--gain DB] [--aloud] [--times N]

starts a sound server of its own, opens the app on a microphone of that server, and speaks to it as
a maker would: says again what was not taken, says yes where she is asked, and waits until she has
been answered. `--aloud` reads everything out; with `--leak` the loudspeaker comes back into the
microphone so many milliseconds later, `--gain` decibels louder. Printed is the transcript: what
was said, what was heard, what was answered aloud and shown, and the milliseconds from the end of
the word to the painted change; then the steps a minute, and the median and 95th of the wait.

A machine that is too busy hears late, or loses sound: so long as the ears are behind, the maker
waits, and a try in which the microphone lost sound is told as such.
"""

import argparse
import asyncio
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

from counter.sound.listening import EarsHeard
from tests.sound.pulse import Pulse
from tests.whole import seen

_PATIENCE_S = 4.0
"""Of sound that has been heard: then it is said again."""
_TRIES = 8
_ANSWERS = {"Around": "sixty"}
"""What is not answered by yes."""
_VOICES = ("awb", "slt", "rms", "kal16")
"""What was not taken is said again, and nobody says it twice alike: each try in another voice."""
_FIRST = dict.fromkeys(("further", "earlier"), 1)
"""Of these the first is not understood."""
_RATE = 16_000
_BREATH_S = 0.2
"""Between two words in one breath."""
_SOUNDS = 0.005
_DECIDED_S = 1.5
"""After the end of a word, nothing of it is decided any more."""
_ANSWERED_S = 0.3
"""From one word's answer to the next word."""


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--leak", type=int, metavar="MS")
    parser.add_argument("--gain", type=int, default=-20, metavar="DB")
    parser.add_argument("--aloud", action="store_true")
    parser.add_argument("--seen", action="store_true", help="try every kind of word on the way")
    parser.add_argument("--inside", type=Path, help="used by itself: the folder of the server")
    options = parser.parse_args()
    if options.inside:
        asyncio.run(evening(options.inside, aloud=options.aloud, tried=options.seen))
        return
    with tempfile.TemporaryDirectory() as folder:
        pulse = Pulse(Path(folder))
        pulse.start()
        try:
            for line in said_and_shown(pulse, Path(folder), options):
                print(line["line"], flush=True)
        finally:
            pulse.kill()


def said_and_shown(pulse, folder, options):
    """The transcript, a dictionary for each word and one for the whole."""
    if options.leak is not None:
        pulse.leak(options.leak / 1000, options.gain)
    words = [sys.executable, "-m", "tests.whole.spoken", "--inside", str(folder)]
    process = subprocess.Popen(
        [*words, *(["--aloud"] if options.aloud else []), *(["--seen"] if options.seen else [])],
        env=pulse.env,
        stdout=subprocess.PIPE,
        text=True,
    )
    told = []
    for line in process.stdout:
        if line.startswith("{"):
            given = json.loads(line)
            told.append(given["line"])
            yield given
    if process.wait(30):
        raise AssertionError("\n".join(["the evening ended early, after:", *told]))


class Maker:
    """Speaks, and looks at the screen."""

    def __init__(self, app, folder, *, aloud):
        self.app, self.pilot, self.folder, self.aloud = app, None, folder, aloud
        self.waits, self.tries, self.broken, self.heard, self.answers = [], 0, 0, [], []
        self.hers_until = 0.0
        """What is heard of the sound until then may be a word of hers: busy ears decide late."""
        self.spoken_over = False
        """That the last word was answered before our voice had ended."""
        self.heard_to_s = 0.0
        """The time of the last sound that the ears have had."""

    def listen_in(self):
        """Notes what is heard and answered, before the ears open."""
        app, voice = self.app, self.app.voice
        post, answer, without_ours = app._from_ears, voice.answer, voice.without_ours

        def noted(news):
            if isinstance(news, EarsHeard):
                self.heard.append(news.heard)
                if self.past(self.hers_until):
                    self.overhear(news.heard)
            post(news)

        def answered(outcome, said, **how):
            self.answers.append(said or f"the tone “{outcome.tone.value}”")
            loudspeaker = voice._loudspeaker
            self.spoken_over = loudspeaker is not None and bool(loudspeaker._turns)
            answer(outcome, said, **how)

        def without(pcm, at_s):
            self.heard_to_s = at_s
            return without_ours(pcm, at_s)

        app._from_ears, voice.answer, voice.without_ours = noted, answered, without

    async def speak(self, words, tries=0):
        """Into the microphone, with _BREATH_S where there is a “…”; gives the time of its end."""
        voice = _VOICES[(_FIRST.get(words, 0) + tries) % len(_VOICES)]
        path = self.folder / f"{words}-{voice}.wav"
        if not path.exists():
            pieces = [await self._said(part, voice, path) for part in words.split(" … ")]
            soundfile.write(path, np.concatenate(pieces), _RATE, subtype="PCM_16")
        play = await asyncio.create_subprocess_exec("paplay", "--device=mic", path)
        await play.wait()
        return time.monotonic()

    async def _said(self, words, voice, path):
        make = await asyncio.create_subprocess_exec(
            *("flite", "--setf", "duration_stretch=1.1", "-voice", voice),
            *("-t", words, "-o", path),
        )
        await make.wait()
        sound, rate = soundfile.read(path)
        assert rate == _RATE
        loud = np.flatnonzero(np.abs(sound) > _SOUNDS)
        return np.append(sound[loud[0] : loud[-1]], np.zeros(round(_BREATH_S * rate)))

    async def say(self, words, changed, *, into=""):
        """Say it until it has come to something; the last try must.

        `into` is what the app's own voice is saying meanwhile.
        """
        for tries in range(_TRIES):
            await self.quiet()
            if into:
                await self.reads(into)
            self.heard.clear()
            self.answers.clear()
            self.tries += 1
            self.hers_until = float("inf")
            breaks = self.app.ears._source.breaks
            ended = await self.speak(words, tries)
            while not changed() and not self.past(ended + _PATIENCE_S):
                await asyncio.sleep(0.01)
            took = changed()
            await self.painted()
            wait_ms = max(0.0, (time.monotonic() - ended) * 1000)
            if took:
                self.waits.append(wait_ms)
            broke = self.app.ears._source.breaks != breaks
            self.broken += broke and not took
            self.tell(words, wait_ms if took else None, broke=broke)
            await asyncio.sleep(_ANSWERED_S)
            self.hers_until = ended + _DECIDED_S
            if took:
                return
        raise AssertionError(f"{words!r} was never taken")

    def past(self, until):
        """Whether all that sounded until then has been heard: the ears may be behind."""
        return min(time.monotonic(), self.heard_to_s) > until

    async def until(self, changed):
        """Waits for what comes of itself."""
        ended = time.monotonic()
        while not changed() and not self.past(ended + 4 * _PATIENCE_S):
            await asyncio.sleep(0.02)
        assert changed(), self.screen_text()
        await self.painted()

    def signs(self):
        """What moved and what was refused, as it is shown."""
        app = self.app
        return " ".join(s.loud + s.quiet for s in app.row_screen._signs.shown(app.clock()))

    def screen_text(self):
        """All that is written on the screen."""
        return "\n".join(
            "".join(part.text for part in strip)
            for strip in self.app.screen._compositor.render_strips()
        )

    async def painted(self):
        """Until what has changed is on the screen."""
        done = asyncio.Event()
        self.app.call_after_refresh(done.set)
        await done.wait()

    async def quiet(self):
        """Nothing of ours in the air, as a maker waits for the end of a sentence."""
        while self.app.voice.speaking or self.app.ears.deaf:
            await asyncio.sleep(0.05)

    async def reads(self, text):
        """The app's voice begins to say it."""
        self.app.voice._speaker.say(text)
        while not self.app.voice.speaking:
            await asyncio.sleep(0.01)
        await asyncio.sleep(0.3)

    def overhear(self, heard):
        """Something was heard while she said nothing: our own voice, or the room."""
        line = f"said nothing  heard {heard.heard} ({heard.reason or 'taken'})"
        given = {"said": "", "took_ms": None, "unasked": heard.taken, "line": line}
        print(json.dumps(given), flush=True)

    def tell(self, words, wait_ms, *, broke):
        heard = "; ".join(f"{h.heard} ({h.reason or 'taken'})" for h in self.heard) or "nothing"
        took = "–" if wait_ms is None else f"{wait_ms:.0f} ms"
        lost = "  (the microphone lost sound)" if broke else ""
        answered = "; ".join(self.answers) or "nothing"
        line = (
            f"said “{words}”  heard {heard}  answered {answered}  shown {_shown(self.app)}"
            f"  {took}{lost}"
        )
        print(json.dumps({"said": words, "took_ms": wait_ms, "line": line}), flush=True)


def _shown(app):
    """The line that answers, on whatever screen."""
    for name in ("#refusal", "#asked", "#question", "#answer", "#trouble"):
        for widget in app.screen.query(name):
            text = str(widget.content).strip()
            if widget.display and text:
                return " ".join(text.split())[:90]
    return ""


async def evening(folder, *, aloud, tried):
    # Late: sounddevice looks at the environment when it is first imported.
    from counter.shared.settings import Pace, Readback, Settings, save
    from counter.sound.opening import ears_from
    from counter.sound.voice import Voice
    from counter.tui.app import SpokenrowApp
    from engine.ears.guard import Sensitivity
    from engine.keep.store import Store

    readback = Readback.FULL if aloud else Readback.OFF
    settings = Settings(readback=readback, sensitivity=Sensitivity.EAGER, pace=Pace.QUICK)
    save(folder / "settings.json", settings)
    store = Store(folder / "makes.db")
    voice = Voice(quiet=not aloud)
    ears = ears_from(folder, None, "testmic", None, voice)
    app = SpokenrowApp(store, folder / "settings.json", ears=ears, voice=voice)
    maker = Maker(app, folder, aloud=aloud)
    maker.listen_in()
    async with app.run_test(size=(100, 30)) as pilot:
        maker.pilot = pilot
        while not app.hearing:
            await asyncio.sleep(0.1)
        await asyncio.sleep(3.0 if aloud else 1.5)
        began = time.monotonic()
        await _begin(maker)
        if tried:
            await seen.every_kind(maker)
        begun = time.monotonic()
        rows = await _work(maker)
        ended = time.monotonic()
    store.close()
    waits = sorted(maker.waits)
    worst = waits[min(len(waits) - 1, round(0.95 * len(waits)))]
    line = (
        f"{len(waits)} words in {maker.tries} tries, {rows} steps, {ended - began:.0f} s; "
        f"{60 * rows / (ended - begun):.0f} steps a minute; from the end of the word to the "
        f"painted change {statistics.median(waits):.0f} ms, 95 % within {worst:.0f} ms"
    )
    given = {"words": len(waits), "tries": maker.tries, "broken": maker.broken, "rows": rows}
    print(json.dumps({**given, "line": line}))
    sys.stdout.flush()
    os._exit(0)  # a sound server that goes first must not hold this up


async def _begin(maker):
    """From the shelf to the first row of a cowl, question by question."""
    from counter.tui.screens.questions import Questions
    from engine.designs import DESIGNS
    from engine.words.grammar import numbers

    app = maker.app
    await maker.say("begin a make", lambda: isinstance(app.screen, Questions))
    place = list(DESIGNS).index("cowl") + 1
    said = next(" ".join(said) for said, value in numbers().items() if value == place)
    answer = f"choice {said}"
    while isinstance(app.screen, Questions):
        question = app.screen.question
        if question.name != "design":
            answer = "no" if question.may_be_unknown else "yes"
            answer = "choice one" if question.options else answer
            answer = _ANSWERS.get(question.name, answer)

        def changed(question=question):
            if isinstance(app.screen, Questions):
                return app.screen.question != question
            return app.row_screen is not None  # the make is begun, and its first row is shown

        await maker.say(answer, changed)


async def _work(maker):
    """To the end, each step by the word that it wants."""
    from models.script import Kind

    app, steps = maker.app, 0
    words = {Kind.FIT_CHECK: "it fits", Kind.BACK_CHECK: "yes"}
    while not app.row_screen.work.state.done:
        making = app.row_screen.work.making
        step, count = making.state.step, len(making.events)
        word = words.get(step.kind, "row done")
        if making.talk.left(app.clock()) > 0:
            word = "yes"
        if step.kind is Kind.MEASURE and word != "yes":
            word = "row done"  # it asks whether to go on without the tape

        def changed(making=making, count=count):
            return len(making.events) > count or making.talk.left(app.clock()) > 0

        if word == "yes":

            def changed(making=making, count=count):
                return len(making.events) > count

        await maker.say(word, changed)
        steps += 1
    return steps


if __name__ == "__main__":
    main()
