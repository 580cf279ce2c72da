"""`python -m tests.faults.hostile TIMES`: so many texts through all places, and a line of JSON."""

import argparse
import asyncio
import contextlib
import json
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from textual.pilot import WaitForScreenTimeout

from tests.faults.hostile.commands import commands
from tests.faults.hostile.marks import Shown, faults
from tests.faults.hostile.paper import paper
from tests.faults.hostile.screens import opened, screens
from tests.faults.hostile.texts import KNOWN, TEXTS, Supply

BATCH = 120
"""Texts that one round of all places uses."""


async def _screens(folder: Path, texts: Supply) -> list[Shown]:
    async with opened(folder) as (app, pilot):
        return [shown async for shown in screens(app, pilot, texts)]


def a_round(folder: Path, texts: Supply) -> list[Shown]:
    """All places once."""
    return [
        *asyncio.run(_screens(folder / "app", texts)),
        *commands(folder / "commands", texts),
        *paper(texts),
    ]


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("times", type=int, help="texts to be made")
    wanted = parser.parse_args().times
    seen: Counter[str] = Counter()
    found: list[str] = []
    made = 0
    began = time.monotonic()

    def go(texts: list[str]) -> int:
        supply = Supply(texts)
        with tempfile.TemporaryDirectory() as folder:
            for shown in a_round(Path(folder), supply):
                seen[shown.place] += 1
                for fault in faults(shown):
                    found.append(fault)
                    print(json.dumps(fault), file=sys.stderr)
        return supply.given

    for text in KNOWN.values():
        go([text])
    known = sum(seen.values())

    @settings(
        max_examples=10**9, database=None, deadline=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(st.lists(TEXTS, min_size=BATCH, max_size=BATCH))
    def run(texts: list[str]) -> None:
        nonlocal made
        if made >= wanted:
            raise KeyboardInterrupt
        try:
            made += min(go(texts), BATCH)
        except WaitForScreenTimeout:
            return  # the machine was too busy: none of these is counted
        if made // 1000 > (made - BATCH) // 1000:
            print(json.dumps({"made texts": made, "faults": len(found)}), file=sys.stderr)

    with contextlib.suppress(KeyboardInterrupt):
        run()
    told = {
        "known texts": len(KNOWN), "places": len(seen), "shown with known texts": known,
        "made texts": made, "shown in all": sum(seen.values()), "faults": len(found),
        "seconds": round(time.monotonic() - began), "first": found[:5],
    }  # fmt: skip
    print(json.dumps(told, ensure_ascii=True, indent=1))


if __name__ == "__main__":
    main()
