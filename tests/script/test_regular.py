"""What makes a part regular: ribs whose columns stand, crowns in lines, loops over their gaps."""

import pytest

from engine.script.builder import op
from engine.script.regular import irregular
from models.script import Kind, Step


def rounds(*rows, kind=Kind.ROUND):
    """Steps of one part, each row a list of operations; loops are not counted here."""
    return [
        Step(
            number=n, part="piece", kind=kind, row=n, operations=tuple(row), loops_before=0,
            loops_after=0, held=0, yarn_loops=0,
        )
        for n, row in enumerate(rows, 1)
    ]  # fmt: skip


def crown(plain, decrease="k2tog", times=4, *, first=False):
    turn = [op(decrease), op("k", plain)] if first else [op("k", plain), op(decrease)]
    return [o for o in turn if o.times] * times


RIB = [op("k"), op("p")] * 4
# Interweave, "Shape Up! Hat-Crown Decreases Explained": "*k2, k2tog", then "*k1, k2tog", then
# "*k2tog": the decreases stand one above another.
# fmt: off
SOUND = {
    "a rib": [RIB, RIB, RIB],
    "a rib of two and two": [[op("k", 2), op("p", 2)] * 3] * 2,
    "ridges": [[op("p", 8)], [op("k", 8)]],
    "the published crown": [crown(2), crown(1), crown(0)],
    "plain rounds between": [crown(3), [op("k", 16)], crown(2)],
    "47 less 9, as even as can be": [
        [o for gap in (3, 3, 4, 3, 3, 3, 3, 3, 4) for o in (op("k", gap), op("k2tog"))]
    ],
    "a tip narrowed on both sides": [
        [op("k", 4), op("k2tog"), op("k", 2), op("ssk"), op("k", 8), op("k2tog"), op("k", 2),
         op("ssk"), op("k", 4)],
        [op("k", 3), op("k2tog"), op("k", 2), op("ssk"), op("k", 6), op("k2tog"), op("k", 2),
         op("ssk"), op("k", 3)],
    ],
    "raglan lines": [[op("k"), op("m1l"), op("k", 8), op("m1r"), op("k", 2), op("m1l"), op("k", 3),
                      op("m1r"), op("k")] * 2],
    "handles over their gaps": [
        [op("k", 6), op("bo", 8), op("k", 12), op("bo", 8), op("k", 6)],
        [op("k", 6), op("co", 22), op("k", 12), op("co", 22), op("k", 6)],
    ],
}
WRONG = {
    "a rib begun a loop late": ([RIB, [op("p"), op("k")] * 4], 2),
    "two of a rib exchanged": ([RIB, [op("p"), op("k"), *RIB[2:]]], 2),
    "a decrease a loop on": ([[op("k", 3), op("k2tog"), op("k"), op("k2tog"), *crown(2)]], 1),
    "all decreases before their stretch": ([crown(2), crown(1, first=True)], 2),
    "two decreases and an increase": ([[*crown(2, times=2), op("k", 2), op("kfb")]], 1),
    "a side of a tip that is later": (
        [[op("k", 4), op("k2tog"), op("k", 2), op("ssk"), op("k", 8), op("k2tog"), op("k", 4),
          op("ssk"), op("k", 2)]],
        1,
    ),
    "a raglan line that wanders": (
        [[op("k"), op("m1l"), op("k", 8), op("m1r"), op("k", 2), op("m1l"), op("k", 3), op("m1r"),
          op("k"), op("k"), op("m1l"), op("k", 8), op("m1r"), op("k", 2), op("m1l"), op("k", 4),
          op("m1r")]],
        1,
    ),
    "a handle sideways": (
        [
            [op("k", 6), op("bo", 8), op("k", 12), op("bo", 8), op("k", 6)],
            [op("co", 22), op("k", 18), op("co", 22), op("k", 6)],
        ],
        2,
    ),
    "both handles a loop on": (
        [
            [op("k", 6), op("bo", 8), op("k", 12), op("bo", 8), op("k", 6)],
            [op("k", 7), op("co", 22), op("k", 12), op("co", 22), op("k", 5)],
        ],
        2,
    ),
}
# fmt: on


@pytest.mark.parametrize("name", SOUND)
def test_regular_rounds(name):
    assert list(irregular(rounds(*SOUND[name]))) == []


@pytest.mark.parametrize("name", WRONG)
def test_rounds_that_are_not(name):
    rows, row = WRONG[name]
    assert [step.row for step in irregular(rounds(*rows))][:1] == [row]


def test_flat_rows_read_the_same_from_both_ends():
    even = [op("k", 2), op("dec"), op("k", 6), op("dec"), op("k", 2)]
    assert list(irregular(rounds(even, kind=Kind.ROW))) == []
    assert list(irregular(rounds([*even, op("k")], kind=Kind.ROW)))
