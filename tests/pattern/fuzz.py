"""Texts to throw at the reader, and what it must never do with them."""

import random
import sys
import time
from pathlib import Path

from hypothesis import strategies as st

from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern, check_row
from engine.pattern.make import plan_from_text, script_of
from engine.pattern.text.grammar import grammar
from engine.plan.planning import read_gauge
from engine.script.audit import audit

CORPUS = [p.read_text(encoding="utf-8") for p in (Path(__file__).parent / "corpus").glob("*.txt")]
WORDS = [
    "k",
    "p",
    "k2",
    "p3",
    "k2tog",
    "ssk",
    "yo",
    "M1",
    "kfb",
    "sl",
    "psso",
    "inc",
    "dec",
    "BO",
    "CO",
    "pm",
    "sm",
    "rm",
    "tbl",
    "wyif",
    "*",
    "**",
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    ",",
    ";",
    ".",
    ":",
    "-",
    "–",
    "rep",
    "from",
    "to",
    "end",
    "last",
    "sts",
    "st",
    "times",
    "twice",
    "once",
    "more",
    "row",
    "rows",
    "rnd",
    "Row",
    "1",
    "2",
    "3",
    "4",
    "99",
    "RS",
    "WS",
    "next",
    "every",
    "other",
    "as",
    "until",
    "measures",
    "cm",
    "in",
    "24",
    "(28,",
    "32)",
    "(S,",
    "M)",
    "at",
    "each",
    "of",
    "and",
    "work",
    "even",
    "knit",
    "purl",
    "across",
    "around",
    "evenly",
    "left",
    "right",
    "side",
    "Part:",
    "Sizes:",
    "Note:",
    "Length:",
    "Gauge:",
    "Level:",
    "open",
    "resting",
    "leave",
    "take",
    "up",
    "pair",
    "with",
    "from",
    "along",
    "all",
    "For",
    "sizes",
    "only",
    '"',
    "½",
    "1/0",
    "0",
    "-",
    "(–,",
    "3)",
    "marker",
    "before",
    "in",
]
_HEADS = ["", "Sizes: S (M)\n", "Gauge: 20 x 26\n", "Craft: needles\nCast on 20 sts.\n"]


@st.composite
def broken(draw: st.DrawFn) -> str:
    """Words of the notation in any order."""
    return draw(st.sampled_from([" ", ", ", ""])).join(
        draw(st.lists(st.sampled_from(WORDS), min_size=1, max_size=25))
    )


@st.composite
def texts(draw: st.DrawFn) -> str:
    """Lines of words, or any characters at all."""
    lines = draw(st.lists(st.one_of(broken(), st.text(max_size=60)), max_size=12))
    return draw(st.sampled_from(_HEADS)) + "\n".join(lines)


@st.composite
def mutated(draw: st.DrawFn) -> str:
    """A sound pattern with a few of its pieces cut, doubled, swapped or replaced."""
    return damage(draw(st.sampled_from(CORPUS)), random.Random(draw(st.integers(0, 2**32))))


def damage(text: str, chance: random.Random) -> str:
    """One to eight small accidents."""
    if chance.random() < 0.5:
        # Another digit reads as well as before and counts otherwise: that is what goes deep.
        digits = [i for i, sign in enumerate(text) if sign.isdigit()]
        for at in chance.sample(digits, min(len(digits), chance.randint(1, 4))):
            text = text[:at] + chance.choice("0123456789") + text[at + 1 :]
        return text
    for _ in range(chance.randint(1, 8)):
        a = chance.randrange(len(text) + 1)
        b = min(len(text), a + chance.choice([0, 1, 1, 2, 5, 20]))
        put = chance.choice(
            ["", text[a:b] * 2, chance.choice(WORDS), chance.choice("0(9*)\n,;"), " "]
        )
        text = text[:a] + put + text[b:]
    return text


def whole(text: str) -> str:
    """Check a text, and prove the script where it is said to be sound. Returns the outcome."""
    try:
        checked = check_pattern(text)
    except Refusal:
        return "refused"
    if not checked.sound:
        assert all(f.line >= 1 and f.column >= 1 and f.text for f in checked.faults)
        return "unread" if checked.unread else "faults"
    for count in checked.counts:
        size = "" if count.size == "one size" else count.size
        script = script_of(plan_from_text(text, size=size, gauge=read_gauge("20 x 26")))
        assert audit(script) == []
    return "sound"


def one_row(text: str, on: int) -> str:
    """Check a row on some loops. Returns the outcome."""
    try:
        row = check_row(text, on)
    except Refusal:
        return "refused"
    assert row.takes >= 0
    return "faults" if row.faults else "sound"


def main(seconds: float) -> None:
    """Fuzz for so long and print how often what came of it, and the slowest text."""
    grammar()  # compiled once a process, and no part of any text's time
    chance = random.Random(20_26)
    seen: dict[str, int] = {}
    slowest, worst, began = 0.0, "", time.perf_counter()
    while time.perf_counter() - began < seconds:
        kind = chance.random()
        start = time.perf_counter()
        if kind < 0.5:
            text = damage(chance.choice(CORPUS), chance)
            told = f"damaged pattern: {whole(text)}"
        elif kind < 0.75:
            text = " ".join(chance.choice(WORDS) for _ in range(chance.randint(1, 25)))
            told = f"made-up row: {one_row(text, chance.randint(0, 300))}"
        else:
            lines = (
                " ".join(chance.choice(WORDS) for _ in range(chance.randint(1, 12)))
                for _ in range(chance.randint(1, 12))
            )
            text = chance.choice(_HEADS) + "\n".join(lines)
            told = f"made-up pattern: {whole(text)}"
        seen[told] = seen.get(told, 0) + 1
        took = time.perf_counter() - start
        if took > slowest:
            slowest, worst = took, text
    for told, count in sorted(seen.items()):
        print(f"{count:8} {told}")
    print(f"{sum(seen.values())} texts in {seconds:.0f} s, slowest {slowest:.2f} s:\n{worst[:400]}")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 60)
