"""Measures the ears and prints one table.

    python -m tests.bench.hearing            everything, on the reporting voices
    python -m tests.bench.hearing --quick    a tenth of it
    python -m tests.bench.hearing --part tune --only clean --subjects ears --misses
    python -m tests.bench.hearing --lived --hours 5 --count 8 --jobs 16

Needs Debian packages; it says which. What they make may be kept and heard elsewhere:

    python -m tests.bench.hearing --lived --hours 5 --keep FOLDER
    python -m tests.bench.hearing --from FOLDER --jobs 16
"""

import argparse
import json
import multiprocessing
import os
import platform
import sys
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from tests.bench.hearing import corpus, kept, voices
from tests.bench.hearing.measure import SUBJECTS, measure
from tests.bench.hearing.table import table


def main():
    """Reads the options, runs each subject in a process of its own, prints the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.hearing")
    parser.add_argument("--part", choices=("tune", "report"), default="report")
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--lived", action="store_true", help="the conditions of a lived-in room")
    parser.add_argument("--count", type=int, default=12, help="commands for each of their voices")
    parser.add_argument("--only", help="keep the conditions that hold these letters")
    parser.add_argument("--subjects", default="ears,vosk,pocketsphinx")
    parser.add_argument("--model", help="a Vosk model folder in place of the starter")
    parser.add_argument("--hours", type=float, default=0.5, help="of nothing said, with --lived")
    parser.add_argument("--jobs", type=int, default=1, help="processes that hear side by side")
    parser.add_argument("--keep", type=Path, help="only write the streams into that folder")
    parser.add_argument("--from", type=Path, nargs="+", dest="kept", help="hear kept streams")
    parser.add_argument("--misses", action="store_true", help="list what was not right")
    parser.add_argument("--json", type=Path, help="write the figures there as well")
    chosen = parser.parse_args()
    if not chosen.kept and (lacking := voices.missing()):
        sys.exit(f"The hearing bench needs: sudo apt-get install -y {' '.join(lacking)}")
    keys = chosen.subjects.split(",")
    if unknown := [key for key in keys if key not in SUBJECTS]:
        sys.exit(f"No subject {unknown[0]!r}; there are: {', '.join(SUBJECTS)}.")
    orders = _orders(chosen)
    if chosen.keep:
        chosen.keep.mkdir(parents=True, exist_ok=True)
        with _pool(chosen.jobs) as pool:
            list(pool.map(partial(kept.made, chosen.keep), range(len(orders)), orders))
        return
    print(
        f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}, "
        f"{chosen.jobs} at a time; {len(orders)} streams"
    )
    results = []
    for key in keys:
        results.append(measure(key, orders, chosen.model, chosen.jobs))
        table(results[-1:])
        sys.stdout.flush()
    if chosen.misses:
        for result in results:
            for (_, condition), one in result.scores.items():
                for miss in one.misses:
                    print(f"{result.key:10} {condition:20} {miss[0]:18} {miss[1]!s:32} {miss[2]}")
    if chosen.json:
        chosen.json.write_text(
            json.dumps(
                {
                    result.key: {
                        condition: {
                            "said": one.said,
                            "right": one.right,
                            "wrong": one.wrong,
                            "asked": one.asked,
                            "false_per_hour": one.per_hour,
                            "false": one.false,
                            "seconds": one.seconds,
                            "busy_s": one.busy_s,
                            "median_s": one.wait(50),
                            "95th_s": one.wait(95),
                            "misses": one.misses,
                        }
                        for (_, condition), one in result.scores.items()
                    }
                    for result in results
                },
                indent=1,
            )
        )


def _pool(jobs):
    return ProcessPoolExecutor(jobs, multiprocessing.get_context("spawn"))


def _orders(chosen):
    """How each stream comes about."""
    if chosen.kept:
        every = [path for folder in chosen.kept for path in kept.paths(folder, chosen.only)]
        return [partial(kept.read, path) for path in every]
    if chosen.lived:
        from tests.bench.hearing import lived

        return lived.orders(chosen.part, chosen.count, chosen.only, chosen.hours)
    return corpus.orders(chosen.part, chosen.quick, chosen.only)


if __name__ == "__main__":
    main()
