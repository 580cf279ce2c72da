"""The base of every model: immutable, strict about unknown fields."""

from pydantic import BaseModel, ConfigDict


class Frozen(BaseModel):
    """An immutable value. Changing one means making another."""

    model_config = ConfigDict(frozen=True, extra="forbid")
