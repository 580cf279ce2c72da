"""Writes down what the guard is shown, and whether that was said: what the decision is fitted on.

    python -m tests.bench.hearing.facts facts.jsonl --count 8

A line for each utterance of the tuning part that reads as a whole phrase, for
`engine.forge.decision`.
"""

import argparse
import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from engine.ears import judging
from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser
from engine.forge.decision import Fact
from engine.words.phrases import phrase_book
from tests.bench.hearing import hours, kept, lived
from tests.bench.hearing.subjects import _pieces, _situation
from tests.bench.hearing.voices import RATE

_GRACE_S = 1.6


def shown(stream, recogniser):
    """The facts of a stream."""
    found = []
    expected = iter(stream.said)
    state = {"said": next(expected, None)}
    judge = judging.judge

    def noting(evidence, situation, asked):
        if evidence.reading.command is not None:
            found.append(
                Fact(
                    voice=stream.voice,
                    condition=stream.condition,
                    nothing_said=not stream.said,
                    right=meant(stream, evidence, listener.now_s),
                    evidence=evidence,
                )
            )
        return judge(evidence, situation, asked)

    judging.judge = noting
    try:
        listener = Listener(recogniser, lambda: _situation(state["said"], listener.now_s))
        for piece, start in _pieces(stream):
            while state["said"] and start / RATE > state["said"].end_s + 1.1:
                state["said"] = next(expected, None)
            listener.feed(piece)
        listener.end()
    finally:
        judging.judge = judge
    return found


def meant(stream, evidence, at):
    """Whether that was said then, and no more than that."""
    for said in stream.said:
        if said.start_s <= at <= said.end_s + _GRACE_S:
            return phrase_book().read(said.text, said.context).command == evidence.reading.command
    return False


def main():
    """Reads the options and writes the facts."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.hearing.facts")
    parser.add_argument("out", type=Path)
    parser.add_argument("--count", type=int, default=8)
    parser.add_argument("--only", help="keep the conditions that hold these letters")
    parser.add_argument("--hours", type=float, default=0.5, help="in which nothing is said")
    parser.add_argument("--near", type=int, default=0, help="so many more near phrases")
    parser.add_argument("--from", type=Path, nargs="+", dest="kept", help="kept streams (tuning)")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--model", type=Path)
    chosen = parser.parse_args()
    if chosen.kept:
        every = [path for folder in chosen.kept for path in kept.paths(folder, chosen.only)]
        orders = [partial(kept.read, path) for path in every]
    else:
        orders = lived.orders("tune", chosen.count, chosen.only, chosen.hours)
        orders += hours.many_near("tune", chosen.near) if chosen.near else []
    spawn = multiprocessing.get_context("spawn")
    with (
        ProcessPoolExecutor(
            chosen.jobs, spawn, initializer=_begin, initargs=(chosen.model,)
        ) as pool,
        chosen.out.open("w", encoding="utf-8") as out,
    ):
        for lines in pool.map(_lines, orders):
            out.writelines(lines)
            out.flush()


_own = {}
"""The recogniser of a worker process."""


def _begin(model):
    _own["recogniser"] = Recogniser(model)


def _lines(order):
    return [fact.model_dump_json() + "\n" for fact in shown(order(), _own["recogniser"])]


if __name__ == "__main__":
    main()
