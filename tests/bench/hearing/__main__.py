"""Measures the ears and prints one table.

    python -m tests.bench.hearing            everything, on the reporting voices
    python -m tests.bench.hearing --quick    a tenth of it
    python -m tests.bench.hearing --part tune --only clean --subjects ears --misses

Needs Debian packages; it says which.
"""

import argparse
import json
import multiprocessing
import os
import platform
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from tests.bench.hearing import voices
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
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--misses", action="store_true", help="list what was not right")
    parser.add_argument("--json", type=Path, help="write the figures there as well")
    chosen = parser.parse_args()
    if lacking := voices.missing():
        sys.exit(f"The hearing bench needs: sudo apt-get install -y {' '.join(lacking)}")
    keys = chosen.subjects.split(",")
    if unknown := [key for key in keys if key not in SUBJECTS]:
        sys.exit(f"No subject {unknown[0]!r}; there are: {', '.join(SUBJECTS)}.")
    options = {
        "part": chosen.part,
        "quick": chosen.quick,
        "only": chosen.only,
        "lived": chosen.lived,
        "count": chosen.count,
        "model": chosen.model,
    }
    print(
        f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}; "
        f"voices: {', '.join(voices.TUNE if chosen.part == 'tune' else voices.REPORT)}"
        + ("" if chosen.part == "tune" else ", one recorded woman (numbers)")
    )
    with ProcessPoolExecutor(
        chosen.jobs, multiprocessing.get_context("spawn"), max_tasks_per_child=1
    ) as pool:
        results = []
        for result in pool.map(measure, [(key, options) for key in keys]):
            table([result])
            sys.stdout.flush()
            results.append(result)
    if chosen.misses:
        for key, scores, *_ in results:
            for (_, condition), one in scores.items():
                for miss in one.misses:
                    print(f"{key:10} {condition:20} {miss[0]:18} {miss[1]!s:32} {miss[2]}")
    if chosen.json:
        chosen.json.write_text(
            json.dumps(
                {
                    key: {
                        condition: {
                            "said": one.said,
                            "right": one.right,
                            "wrong": one.wrong,
                            "asked": one.asked,
                            "false_per_hour": one.per_hour,
                            "median_s": one.wait(50),
                        }
                        for (_, condition), one in scores.items()
                    }
                    for key, scores, *_ in results
                },
                indent=1,
            )
        )


if __name__ == "__main__":
    main()
