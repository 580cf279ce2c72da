"""How many rows there are of what is measured: of the piece, or since its armhole began."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from engine.pattern.count.ledger import Ledger


def rows_of(ledger: Ledger, measured: str) -> int | None:
    """Rows since what is measured began; None where no heading says that. `measured`: "" is all."""
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
