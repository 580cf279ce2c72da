"""Goes through made-up rows and tells what the engine made of them.

`python -m tests.pattern.apart 50000 [SEED]`: accepted right, accepted wrong (with the rows), asked
or at fault, not read; and for every way of saying a repeat how often it was taken.
"""

import sys
from collections import Counter
from random import Random

from tests.pattern.apart.trial import Outcome, trial


def main(count: int, seed: int) -> int:
    chance = Random(seed)
    seen: Counter[Outcome] = Counter()
    ways: dict[str, Counter[Outcome]] = {}
    shown: Counter[tuple[Outcome, str]] = Counter()
    for _ in range(count):
        told = trial(chance)
        seen[told.outcome] += 1
        for way in (told.how, f"claim{told.claimed}", f"label {told.label}"):
            ways.setdefault(way, Counter())[told.outcome] += 1
        key = (told.outcome, told.why[:40])
        shown[key] += 1
        few = told.outcome is not Outcome.RIGHT and shown[key] <= 2
        if told.outcome is Outcome.WRONG or few:
            print(f"{told.outcome.value}: {told.text!r} on {told.on}: {told.why}")
    for way, counts in sorted(ways.items(), key=lambda w: -w[1][Outcome.UNREAD]):
        if counts[Outcome.RIGHT] < sum(counts.values()):
            print(f"{way[:60]:60}", {o.value: n for o, n in counts.items()})
    print({outcome.value: n for outcome, n in seen.items()}, f"of {count}")
    return 1 if seen[Outcome.WRONG] else 0


if __name__ == "__main__":
    given = [int(a) for a in sys.argv[1:]]
    sys.exit(main(*(given + [50_000, 20_26][len(given) :])))
