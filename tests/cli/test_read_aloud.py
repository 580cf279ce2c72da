"""A cardigan from the first loop to the last as `spokenrow plain` tells it, size M.

The golden text is there to be read from top to bottom. After a change that is meant, read it anew:
`python -m tests.cli.test_read_aloud` writes it.
"""

import contextlib
import io
import sys
import tempfile
from pathlib import Path

from counter.commandline import main
from engine.plan.planning import make_plan, read_gauge, script_for
from models.script import Kind

GOLDEN = Path(__file__).parent / "golden" / "cardigan-M.txt"


def told(folder):
    """All that is printed while everything comes out as planned."""
    script = script_for(make_plan("cardigan", read_gauge("5 x 3.75"), size="M"))
    lines = []
    for step in script.steps:
        if step.kind is Kind.MEASURE:
            rows = sum(s.counts_row for s in script.steps if s.part == step.part)
            lines.append(f"measured {round(2 * rows / script.gauge.rows_per_cm) / 2:g}")
        elif step.kind is Kind.FIT_CHECK:
            lines.append("it fits")
        else:
            lines.append("row done")
    out, kept = io.StringIO(), sys.stdin
    with contextlib.redirect_stdout(out):
        main(["--data", str(folder), "start", "cardigan", "--size", "M", "--gauge", "5 x 3.75"])
        sys.stdin = io.StringIO("\n".join(lines) + "\n")
        try:
            main(["--data", str(folder), "plain", "cardigan"])
        finally:
            sys.stdin = kept
    return out.getvalue()


def test_a_cardigan_is_told_as_it_was_read_and_found_good(tmp_path):
    assert told(tmp_path) == GOLDEN.read_text(encoding="utf-8")


def test_nothing_that_the_hands_do_is_left_out():
    text = GOLDEN.read_text(encoding="utf-8").lower()
    for words in (
        "the third", "none twisted", "never turned", "outermost loop on its neighbour",
        "resting as body", "take up", "join the yarn", "cut the yarn", "remove the marker",
        "right side out", "lowest point", "loop that rests there", "from right to left",
        "right to left", "second loop through the first", "as many rows", "weave", "scissors",
        "infants", "in reverse", "stays open",
    ):  # fmt: skip
        assert words in text, words
    assert text.count("mind the scissors") == 1


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        GOLDEN.write_text(told(made), encoding="utf-8")
