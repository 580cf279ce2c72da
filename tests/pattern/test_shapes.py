"""A row that is read by its shape is what the grammar reads in it."""

import re
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from lark.exceptions import LarkError

from engine.pattern.count.count import Counting
from engine.pattern.count.drafts import Counted
from engine.pattern.count.plain_rows import Plans
from engine.pattern.text import attempt, shapes
from engine.pattern.text.grammar import parse
from engine.pattern.text.placing import placed
from engine.pattern.text.read import Pattern, Scoped, read
from engine.pattern.text.statements import RowLine, Statement
from engine.pattern.text.written import Written, joined
from models.gauge import Gauge
from models.script import Craft
from tests.pattern.apart.rows import row
from tests.pattern.apart.spelling import Speller
from tests.times import times

PASTED = sorted((Path(__file__).parent / "pasted").glob("*.txt"))
ROW = re.compile(r"^(?:row|rnd|round) \d+.*:.*$", re.I | re.M)
PLAIN = re.compile(r"\b([kp])(\d+)\b")


def by_grammar(words: Written) -> tuple[Statement, ...] | None:
    try:
        return tuple(placed(s, words) for s in parse(words.text, "line"))
    except (LarkError, ValueError, OverflowError):
        return None


def grammar(text: str) -> list[Statement]:
    return list(parse(text, "line"))


def alike(text: str, chance: Random) -> str:
    """The same with other numbers, and now and then with a list by size."""

    def other(match: re.Match[str]) -> str:
        figure = chance.choice((1, 2, 5, 9, 12, 40, 118))
        listed = f" ({figure + 1}, {figure + 12})" if chance.random() < 0.2 else ""
        return f"{match[1]}{figure}{listed}" if chance.random() < 0.6 else match[0]

    return PLAIN.sub(other, text)


def held(text: str, chance: Random) -> int:
    """Hold a row and its likes against the grammar; how many were read by their shape."""
    by_shape = 0
    for number in range(1, 7):
        said = re.sub(r"\d+", str(number * 7), alike(text, chance), count=1)
        cut = chance.randrange(len(said))
        words = chance.choice(
            (
                Written.at(said, 12, 5),
                joined([Written.at(said[:cut], 3), Written.at(said[cut:], 4, 9)], ""),
            )
        )
        quick = shapes.row_by_shape(words, grammar)
        if quick is not None:
            by_shape += 1
            assert quick == by_grammar(words), words
    return by_shape


def test_a_slip_of_the_pen_is_one_in_all_rows_of_its_shape() -> None:
    """`rep from *` without an asterisk: read after all, and not as it was meant for sure."""
    for text, is_clean in (("k{}, p11, rep from * twice", False), ("k{}, p11, k2, p3, k4", True)):
        told = [
            shapes.row_by_shape(Written.at(f"Row 1: {text.format(n)}", 1), grammar)
            for n in range(2, 6)
        ]
        by_shape = [one for one in told if one is not None]
        assert len(by_shape) >= 3
        assert [attempt.clean(one) for one in by_shape] == [is_clean] * len(by_shape)


def test_a_row_whose_numbers_change_how_it_is_read_has_no_shape() -> None:
    """The grammar has the last word: here one that reads a high number as something else."""

    def odd(text: str) -> list[Statement]:
        high = any(int(number) > 22 for number in re.findall(r"\d+", text))
        return grammar(text.replace("k", "p")) if high else grammar(text)

    told = [
        shapes.row_by_shape(Written.at(f"Row 1: k{n}, p12, k2, p2, k9", 1), odd)
        for n in range(2, 9)
    ]
    assert told == [None] * 7
    even = [
        shapes.row_by_shape(Written.at(f"Row 1: k{n}, p13, yo, k2", 1), grammar) for n in (2, 3, 4)
    ]
    assert even[1:] != [None, None]


def test_rows_made_up() -> None:
    chance = Random(11)
    count = times(40)
    rows = [f"Row 7: {Speller(chance).row(row(chance))[0]}" for _ in range(count)]
    assert sum(held(text, chance) for text in rows) > count // 2


def test_rows_of_the_pasted_texts() -> None:
    chance = Random(17)
    texts = (p.read_text(encoding="utf-8", errors="replace") for p in PASTED)
    rows = sorted({line for text in texts for line in ROW.findall(text)})
    assert len(rows) > 100
    share = rows if times(1) > 1 else chance.sample(rows, 40)
    assert sum(held(text, chance) for text in share) > 20


def test_a_pattern_by_its_shapes_counts_as_row_by_row(monkeypatch: pytest.MonkeyPatch) -> None:
    """Several sizes share a row's plan, and rows of a shape share the shape's."""
    chance = Random(23)
    given = 0
    for _ in range(times(3)):
        few = [Speller(chance).row(row(chance))[0] for _ in range(3)]
        few += ["k3, p4 (5, 6), (k2, p2) twice, k to last 3 sts, k3", "k2, p40 (45, 50), k2tog, k2"]
        rows = [f"Row {n}: {alike(few[n % 5], chance)}" for n in range(1, 16)]
        head = "Craft: needles\nSizes: S, M, L\nGauge: 20 x 26\nCast on 60 (66, 72) sts."
        text = "\n".join([head, *rows, "Bind off all sts."])
        pattern = read(text)
        given += sum(isinstance(s.said.row, shapes.LateRow) for s in rows_of(pattern))
        quick = [counted(pattern, size) for size in range(3)]
        with monkeypatch.context() as without:
            without.setattr(shapes, "_known", lambda *_: shapes.KnownShape())
            without.setattr(Plans, "of", lambda *_: None)
            read.cache_clear()
            slow = read(text)
            assert not any(isinstance(s.said.row, shapes.LateRow) for s in rows_of(slow))
            assert slow.statements == pattern.statements
            assert [counted(slow, size) for size in range(3)] == quick, text
    assert given > 10


def rows_of(pattern: Pattern) -> list[Scoped]:
    return [s for s in pattern.statements if isinstance(s.said, RowLine)]


def counted(pattern: Pattern, size: int) -> Counted:
    gauge = Gauge(loops_per_10cm=20, rows_per_10cm=26)
    # Whether a single row is a stretch that a tape may change hangs on how it was read.
    return replace(Counting(pattern, size, gauge, Craft.NEEDLES).run(), stretches=[])


@pytest.mark.parametrize(
    "text",
    [
        "Row 2: k2, p4 (5, 6), k2. 12 (14, 16) sts.",
        "Rnd 12 (RS): p3, (k2, p2) twice, k20.",
        "Row 9: k4, yo, k1 in next st, p33, k2tog, k9",
        "Row 3: sl 2, k12, psso, p5 (7, 9), turn, p7 tbl, k4",
        "Row 5: *p4, k2; rep from *, end p4",
    ],
)
def test_each_number_is_its_own(text: str) -> None:
    held(text, Random(3))
    words = Written.at(text.replace("4", "8"), 2)
    assert shapes.row_by_shape(words, grammar) in (None, by_grammar(words))
