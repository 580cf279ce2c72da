"""Three makes of size M from the first loop to the last as `spokenrow plain` tells them.

The golden texts are there to be read from top to bottom. After a change that is meant, read them
anew: `python -m tests.cli.test_read_aloud` writes them.
"""

import contextlib
import io
import sys
import tempfile
from pathlib import Path

import pytest

from counter.commandline import main
from engine.plan.planning import make_plan, read_gauge, script_for
from models.script import Kind

GOLDEN = Path(__file__).parent / "golden"
GAUGES = {"cardigan": "5 x 3.75", "socks": "14 x 18", "yoke-pullover": "9 x 11"}


def golden(name):
    """The text as it was read and found good."""
    return (GOLDEN / f"{name}-M.txt").read_text(encoding="utf-8")


def told(name, folder):
    """All that is printed while everything comes out as planned."""
    script = script_for(make_plan(name, read_gauge(GAUGES[name]), size="M"))
    lines = []
    for step in script.steps:
        if step.kind is Kind.MEASURE:
            rows = sum(s.counts_row for s in script.steps if s.part == step.part)
            tape = 2 * rows / script.gauge.rows_per_cm
            # A sock's leg is measured with its cuff, its foot with its heel; a yoke's parts after
            # their ribbing are asked for in full rounds.
            found = round(tape) / 2 if name == "cardigan" else step.target_cm
            lines.append(f"measured {found:g}")
        elif step.kind is Kind.FIT_CHECK:
            lines.append("it fits")
        else:
            lines.append("row done")
    made, at = script.title.lower().replace(" ", "-"), ["--gauge", GAUGES[name]]
    out, kept = io.StringIO(), sys.stdin
    with contextlib.redirect_stdout(out):
        main(["--data", str(folder), "start", name, "--size", "M", *at])
        sys.stdin = io.StringIO("\n".join(lines) + "\n")
        try:
            main(["--data", str(folder), "plain", made])
        finally:
            sys.stdin = kept
    return out.getvalue()


@pytest.mark.parametrize("name", GAUGES)
def test_it_is_told_as_it_was_read_and_found_good(name, tmp_path):
    assert told(name, tmp_path) == golden(name)


def test_nothing_that_the_hands_do_is_left_out():
    text = golden("cardigan").lower()
    for words in (
        "the third", "none twisted", "never turned", "outermost loop on its neighbour",
        "resting as body", "take up", "join the yarn", "cut the yarn", "remove the marker",
        "right side out", "lowest point", "loop that rests there", "from right to left",
        "right to left", "second loop through the first", "as many rows", "weave", "scissors",
        "infants", "in reverse", "stays open",
    ):  # fmt: skip
        assert words in text, words
    assert text.count("scissors") == text.count("infants") == 1


if __name__ == "__main__":
    for one in GAUGES:
        with tempfile.TemporaryDirectory() as made:
            (GOLDEN / f"{one}-M.txt").write_text(told(one, made), encoding="utf-8")
