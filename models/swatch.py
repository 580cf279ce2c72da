"""A swatch and what it says of the gauge."""

from typing import Annotated

from pydantic import Field

from models.frozen import Frozen
from models.gauge import Gauge

_Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]


class Swatch(Frozen):
    """Loops and rows counted over a measured width and height, laid flat."""

    loops: _Positive
    rows: _Positive
    width_cm: _Positive
    height_cm: _Positive
    grams: _Positive | None = None
    """What the whole swatch weighs, where a kitchen scale was at hand."""

    @property
    def worked_loops(self) -> float:
        """Loops of yarn in the swatch: its rows, and the foundation below them."""
        return self.loops * (self.rows + 1)


class GaugeReading(Frozen):
    """The gauge of one or several swatches, and how far to trust it."""

    gauge: Gauge
    swatches: int
    spread_loops: float
    """Loops per 10 cm between the tightest and the loosest swatch; 0 for one."""
    spread_rows: float
    miscount: float
    """Share of a width by which half a loop miscounted in each swatch would change it."""
    miscount_rows: float
    warnings: tuple[str, ...] = ()
