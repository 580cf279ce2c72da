"""A plan is the short way of a plain row: what it takes, the long way takes as well; and what a row
claims of itself is held against it on either.
"""

import pytest

from engine.pattern.count.decide import work_row
from engine.pattern.count.plain_rows import Plan, planned
from engine.pattern.text.grammar import parse
from engine.pattern.text.row_items import Claim


def plan(text: str) -> Plan:
    """The plan of a row, for all sizes."""
    found = planned(parse(text, "row_alone").items, None)
    assert found is not None
    return found


def test_what_is_claimed_at_the_end_is_held_against_what_is_left() -> None:
    right, wrong = plan("k3, k2tog (4 sts)"), plan("k3, k2tog (5 sts)")
    kept = right.work(5, 0)
    assert kept is not None
    assert (kept.takes, kept.leaves, len(kept.claims)) == (5, 4, 1)
    assert wrong.work(5, 0) is None


def test_who_asks_for_no_claims_gets_the_row_and_none_of_them() -> None:
    told = plan("k3, k2tog (5 sts)").work(5, 0, claimed=False)
    assert told is not None
    assert (told.leaves, told.claims) == (4, [])


def test_a_claim_by_size_is_held_against_its_size() -> None:
    by_size = plan("k to last 2 sts, k2tog, 4 (6, 8) sts")
    assert [size for size in range(3) if by_size.work(7, size)] == [1]


@pytest.mark.parametrize("place", ["middle", "twice"])
def test_a_claim_that_is_not_alone_at_the_end_goes_the_long_way(place: str) -> None:
    """What is claimed in the middle is of the loops there: only the long way knows how many."""
    items = parse("k3, k2tog (4 sts)", "row_alone").items
    claim = items[-1]
    assert isinstance(claim, Claim)
    mixed = (items[0], claim, items[1]) if place == "middle" else (*items, claim)
    found = planned(mixed, None)
    assert found is not None
    assert found.work(5, 0) is None
    assert work_row((items[0], items[1], claim), 5, 0)[0].leaves == 4
