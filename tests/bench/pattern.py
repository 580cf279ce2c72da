"""Reading and auditing a long pattern: `python -m tests.bench.pattern`.

2,000 rows in nine sizes, 100 to 180 stitches across, every row written out: read, counted row by
row for every size, made into nine scripts, each proven loop by loop. Once with eight rows that come
again and again, as patterns have them, once with no two alike. Seconds of the processor, which
other work on the machine does not lengthen by its waiting.
"""

import resource
import time
from collections.abc import Iterator

from engine.pattern.check import check_pattern
from engine.pattern.text.grammar import grammar
from engine.pattern.text.read import read

ROWS, SIZES = 2_000, ("XS", "S", "M", "L", "1X", "2X", "3X", "4X", "5X")


def text(alike: int) -> str:
    """A blanket of so many rows that differ, with numbers by size in each."""
    across = [100 + 10 * i for i in range(len(SIZES))]

    def by_size(numbers: list[int]) -> str:
        return f"{numbers[0]} ({', '.join(map(str, numbers[1:]))})"

    lines = [
        "Title: Long blanket",
        "Craft: needles",
        f"Sizes: {', '.join(SIZES)}",
        "Gauge: 20 x 26",
        "Part: blanket",
        f"Cast on {by_size(across)} sts.",
    ]
    for row in range(1, ROWS + 1):
        kind = row % alike
        edge, knit, purl = 1 + kind % 20, 1 + kind // 20 % 20, 1 + kind // 400
        middle = by_size([n - 2 * edge - knit - purl - 4 for n in across])
        lines.append(
            f"Row {row}: k{edge}, k2tog, yo, p{purl}, k{knit}, p{middle}, (k1, p1) once, k{edge}."
        )
    return "\n".join([*lines, "Bind off all sts.", ""])


def figures() -> Iterator[tuple[str, str]]:
    """Name and figure of each measurement."""
    began = time.process_time()
    grammar()
    yield "pattern grammar, once a process", f"{time.process_time() - began:.2f} s"
    for alike, what in ((8, "eight different"), (ROWS, "all different")):
        pattern = text(alike)
        began = time.process_time()
        read(pattern)
        took = time.process_time() - began
        yield f"reading {ROWS} written rows, {what}", f"{took:.2f} s"
        began = time.process_time()
        checked = check_pattern(pattern)
        took += time.process_time() - began
        assert checked.sound, checked.faults[:3]
        assert [c.rows for c in checked.counts] == [ROWS] * len(SIZES)
        yield f"reading and auditing them in {len(SIZES)} sizes, {what}", f"{took:.2f} s"
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    yield "largest resident memory of the bench", f"{memory:.0f} MiB"


if __name__ == "__main__":
    for what, figure in figures():
        print(f"{what}: {figure}")
