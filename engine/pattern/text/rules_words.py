"""Grammar rules of numbers, units, names, sides and directions."""

from typing import Any

from engine.base.numbers import CM_PER_INCH
from engine.pattern.text import words
from engine.pattern.text.children import clean, first_of, spot_of
from engine.pattern.text.numbers import Number
from engine.pattern.text.pieces import Named, RowMark, SizeNames, Unit, Where


class WordRules:
    """Numbers and the words around a row."""

    def number(self, c: list[Any]) -> Number:
        return words.number(c[0], spot_of(c))

    def unit(self, c: list[Any]) -> Unit:
        return Unit(1.0 if c[0].type == "CM" else CM_PER_INCH)

    def other_unit(self, _c: list[Any]) -> Where:
        return Where("the same length in another unit")

    def name(self, c: list[Any]) -> Named:
        return Named(clean(c[0].strip('"')))

    def at(self, c: list[Any]) -> Named:
        named = first_of(c, Named)
        return named if named else Named(clean(c[-1].strip('"')), quoted=True)

    def size_name(self, c: list[Any]) -> SizeNames:
        return SizeNames((" ".join(c),))

    def side(self, c: list[Any]) -> RowMark:
        return RowMark(side="RS" if c[0].type == "RS" else "WS")

    def no_side(self, _c: list[Any]) -> RowMark:
        return RowMark(side="")

    def direction(self, c: list[Any]) -> RowMark:
        said = clean(c[0].lower())
        return RowMark(direction="" if c[0].type == "EITHER_WAY" else said)
