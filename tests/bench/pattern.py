"""Reading and auditing a long pattern: `python -m tests.bench.pattern`.

2,000 rows in nine sizes, 100 to 180 stitches across, every row written out: read, counted row by
row for every size, made into nine scripts, each proven loop by loop.
"""

import resource
import time

from engine.pattern.check import check_pattern
from engine.pattern.grammar import grammar
from engine.pattern.read import read

ROWS, SIZES = 2_000, ("XS", "S", "M", "L", "1X", "2X", "3X", "4X", "5X")


def text() -> str:
    """A blanket whose rows differ, with numbers by size in each."""
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
        edge = 2 + row % 7
        middle = by_size([n - 2 * edge - 4 for n in across])
        lines.append(f"Row {row}: k{edge}, k2tog, yo, p{middle}, (k1, p1) once, k{edge}.")
    return "\n".join([*lines, "Bind off all sts.", ""])


def main() -> None:
    """Print the figures."""
    began = time.perf_counter()
    grammar()
    print(f"grammar, once a process  {time.perf_counter() - began:7.2f} s")
    pattern = text()
    began = time.perf_counter()
    read(pattern)
    took = time.perf_counter() - began
    print(f"reading {ROWS} rows        {took:7.2f} s  ({took / ROWS * 1000:.2f} ms a row)")
    began = time.perf_counter()
    checked = check_pattern(pattern)
    took = time.perf_counter() - began
    assert checked.sound, checked.faults[:3]
    assert [c.rows for c in checked.counts] == [ROWS] * len(SIZES)
    print(f"reading and audit, {len(SIZES)} sizes {took:7.2f} s")
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"largest resident memory  {memory:7.0f} MiB")


if __name__ == "__main__":
    main()
