"""How many working lines of pasted texts are read at once.

`python -m tests.pattern.lines_read [FILE …]`, without files the texts that are kept: of all rows,
sentences about rows and steps how many are read and come out, how many are asked about, and on how
many a fault stands. A line of several sentences counts once for each.
"""

import sys
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from counter.shared.written import pattern_text
from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern
from models.pattern import Severity

PASTED = Path(__file__).parent / "pasted"
WORKING = {"row", "sentence", "step", "unread"}


def lines_of(text: str) -> Counter[str]:
    """The working lines of a text: read, asked, at fault."""
    try:
        told = check_pattern(text)
    except Refusal:
        return Counter(refused=1)
    faulty = {f.line for f in told.faults if f.severity is Severity.FAULT}
    seen: Counter[str] = Counter()
    for line in told.lines:
        if line.taken_as == "unread":
            seen["asked"] += 1
        elif line.taken_as in WORKING:
            at_fault = line.line in faulty
            seen["at fault" if at_fault else "read"] += 1
            faulty.discard(line.line)
    return seen


def main(files: Iterable[Path]) -> int:
    seen: Counter[str] = Counter()
    whole = texts = 0
    for file in files:
        counted = lines_of(pattern_text(file))
        seen += counted
        texts += 1
        whole += set(counted) <= {"read"}
    lines = seen["read"] + seen["asked"] + seen["at fault"]
    share = 100 * seen["read"] / max(1, lines)
    print(
        f"{texts} texts, {whole} without a question or fault; {lines} working lines: {dict(seen)}"
    )
    print(f"read at once: {share:.1f} in a hundred")
    return 0


if __name__ == "__main__":
    given = [Path(a) for a in sys.argv[1:]]
    sys.exit(main(given or sorted(p for p in PASTED.iterdir() if p.suffix != ".toml")))
