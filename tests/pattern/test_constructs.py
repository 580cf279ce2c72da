"""What patterns say in a row besides plain stitches and repeats, with counts proved.

The abbreviations are the Craft Yarn Council's "Knit Abbreviations" (from memory) unless a line says
otherwise; the counts are plain arithmetic.
"""

import pytest

from engine.base.refusal import Refusal
from engine.pattern.check import check_row
from engine.pattern.count.decide import work_row
from engine.pattern.text.grammar import parse
from models.pattern import Severity

ROWS = [
    # cables: n stitches to n
    ("C4F, k to end", 20, 20),
    ("p2, C6B, p2, C4F", 14, 14),
    ("*p2, C6B, p2; rep from * to end", 20, 20),
    ("T3B, p2, T3F", 8, 8),
    ("2/2 RC, k6, 2/1 LPC", 13, 13),
    ("k2, RT, k to last 4 sts, LT, k2", 20, 20),
    ("Cr3L, k5, Cr4R", 12, 12),
    ("k4, sl 2 sts to cn and hold in front, k2, k2 from cn, k4", 12, 12),
    ("sl 3 to cn, hold in back, k3, k3 from cn, k4", 10, 10),
    (
        "p3, sl next st onto cable needle and hold at back of work, k2, p1 from cable needle, p3",
        9,
        9,
    ),
    # colours
    ("*k1 MC, k1 CC; rep from * to end", 20, 20),
    ("*k1 in MC, k1 in CC; rep from * to end", 20, 20),
    ("*K2 MC, 2 CC; rep from * to end", 20, 20),
    ("k2A, *k2B, k2A; rep from * to end", 18, 18),
    ("With MC k3, *with CC k1, with MC k3; rep from * to last st, k1 with CC", 24, 24),
    ("in A, k2tog, in B, k to end", 12, 11),
    # other stitches
    ("k1b, k to end", 8, 8),
    ("K2T, k to last 3 sts, k3tog", 12, 9),
    ("kfbf, k to end", 8, 10),
    ("kf/b, k to end", 8, 9),
    ("o, k2tog, k to end", 8, 8),
    ("MB, k5, mb", 7, 7),
    ("brk1, *sl1yo, brk1; rep from * to end", 9, 9),
    ("*brk1, yf sl1 yo; rep from * to end", 8, 8),
    ("brkyobrk, sl1yo, brk1", 3, 5),
    ("brRsl dec, sl1yo, brk1", 5, 3),
    ("k1, *yo twice, k1; rep from * to end", 5, 13),
    ("*k1, drop next yo; rep from * to end", 8, 4),
    # bound off and cast on within a row
    ("K10, BO center 4 sts, k to end", 24, 20),
    ("K10, bind off 4 sts for buttonhole, k to end", 24, 20),
    ("Bind off 6 sts in rib, rib to end", 20, 14),
    ("K10, BO next 4 sts for neck, k10", 24, 20),
    # shaping by a phrase
    ("inc 1 st at neck edge", 20, 21),
    ("Dec 1 st at armhole edge.", 20, 19),
    ("Dec 1 st at neck edge, k to end", 20, 19),
    ("Inc 1 st in first and last st", 20, 22),
    ("Knit, decreasing 4 sts evenly", 20, 16),
    ("K across, dec 4 sts evenly", 20, 16),
    ("Purl across, increasing 3 sts evenly spaced. 23 sts", 20, 23),
    ("Knit, inc 6 sts evenly across", 20, 26),
    ("p, dec 1 st at each end", 20, 18),
    ("k into front and back of every st", 10, 20),
    ("inc in every other st", 10, 15),
    ("inc in every 3rd st across", 12, 16),
    ("kfb 6 sts evenly across", 48, 54),
    ("k3tog 4 times evenly across", 40, 32),
    # a fabric by name
    ("k1, p1 rib", 21, 21),
    ("k2, p2 rib to last 2 sts, k2tog", 20, 19),
    ("work in k1, p1 rib to end", 20, 20),
    ("work even", 20, 20),
    ("rib to end", 20, 20),
    # a full stop after an abbreviation, and then what is there
    ("k8, then inc. 10 sts on needle.", 9, 10),
    # passed over what was knitted; the yarn brought to the front wraps, and makes no loop
    ("sl 1, k2, pass slipped st over k2 sts, k5", 8, 7),
    ("dec 1 st neck edge, k to end", 10, 9),
    ("k2, work in moss st to last 2 sts, k2", 20, 20),
]


@pytest.mark.parametrize(("text", "on", "leaves"), ROWS, ids=lambda v: str(v)[:50])
def test_rows(text: str, on: int, leaves: int) -> None:
    row = check_row(text, on)
    told = [f.sentence() for f in row.faults if f.severity is not Severity.WARNING]
    assert (told, row.takes, row.leaves) == ([], on, leaves)


def stitches(text: str, on: int) -> list[tuple[str, int]]:
    worked, _, _ = work_row(parse(text, "row_alone").items, on, 0)
    assert worked.sound
    return [(o.stitch, o.times) for o in worked.operations]


CABLES = [
    # front: those held pass before the others, to the left (Craft Yarn Council, from memory)
    ("C4F", 4, "2/2 lc"),
    ("C4B", 4, "2/2 rc"),
    ("C6F", 6, "3/3 lc"),
    ("C8B", 8, "4/4 rc"),
    ("T3B", 3, "2/1 rpc"),
    ("T3F", 3, "2/1 lpc"),
    ("2/2 LPC", 4, "2/2 lpc"),
    ("1/1/1 RPC", 3, "1/1/1 rpc"),
    ("RT", 2, "1/1 rc"),
    ("sl 2 sts to cn and hold in front, k2, k2 from cn", 4, "2/2 lc"),
    ("sl 2 to cn, hold to back, k2, p2 from cn", 4, "2/2 rpc"),
    ("sl 1 st onto cable needle and hold in back of work, k2, p1 from cn", 3, "2/1 rpc"),
    ("slip 2 sts onto cn and hold at front, p1, k2 from cn", 3, "2/1 lpc"),
]


@pytest.mark.parametrize(("text", "on", "key"), CABLES, ids=lambda v: str(v)[:40])
def test_cables_cross_as_they_are_named(text: str, on: int, key: str) -> None:
    assert stitches(text, on) == [(key, 1)]


def test_shaping_at_an_edge_keeps_the_fabric() -> None:
    assert stitches("Purl across, dec 2 sts evenly", 10) == [
        ("p", 2), ("dec", 1), ("p", 2), ("dec", 1), ("p", 2)
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "sl 2 sts to cn and hold in front, k2, k to end",  # the cable needle is never taken back
        "sl 2 sts to cn and hold in front, k2, k3 from cn",
        "k2 from cn, k to end",
        "k, dropping extra yo's",
    ],
)
def test_what_leaves_a_count_open_is_not_taken(text: str) -> None:
    try:
        row = check_row(text, 20)
    except Refusal:
        return
    assert any(f.severity is Severity.FAULT for f in row.faults)
