"""How many rows there are of what is measured: of the piece, or since its armhole began."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from engine.pattern.count.ledger import Ledger


def rows_of(ledger: Ledger, measured: str) -> int | None:
    """Rows since what is measured began; None where no heading says that. `measured`: "" is all."""
    if ledger.rows_before and _begins_here(ledger.part.lower(), measured):
        return ledger.out.rows.get(ledger.part, 0)
    if not measured:
        return ledger.rows_so_far
    begun = [rows for name, rows in ledger.sections.items() if measured in name]
    if not begun and measured == "armhole":
        begun = [rows for name, rows in ledger.sections.items() if "divid" in name]
    if begun:
        return ledger.rows_so_far - begun[-1]
    if measured in {"armhole", "above rib"}:
        return None
    return ledger.rows_so_far  # a piece of its own


_PARTED = ("divid", "separat", "split", "body")


def _begins_here(part: str, measured: str) -> bool:
    """Whether a part that goes on with the loops of a yoke is measured from where it begins.

    A sleeve is, and so is a body: from the underarm on, and not from the neck.
    """
    if "sleeve" in part:
        return measured in {"", "sleeve"}
    return measured == "body" and any(word in part for word in _PARTED)
