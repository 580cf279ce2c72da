"""Gauge: how many loops and rows the maker's hands put into a length."""

from typing import Annotated

from pydantic import Field

from models.frozen import Frozen


class Gauge(Frozen):
    """Loops and rows per 10 cm, laid flat."""

    loops_per_10cm: Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)]
    rows_per_10cm: Annotated[float, Field(gt=0, le=150, allow_inf_nan=False)]

    @property
    def loops_per_cm(self) -> float:
        """Loops in one centimetre of width."""
        return self.loops_per_10cm / 10

    @property
    def rows_per_cm(self) -> float:
        """Rows in one centimetre of height."""
        return self.rows_per_10cm / 10

    @property
    def loops_per_row(self) -> float:
        """Loops that lie along the height of one row: what an edge takes when picked up."""
        return self.loops_per_10cm / self.rows_per_10cm
