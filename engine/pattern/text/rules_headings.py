"""Grammar rules of headings and notes: title, sizes, gauge, parts, lengths."""

from typing import Any

from engine.pattern.text.children import all_of, clean, first_of, spot_of, token_of
from engine.pattern.text.numbers import Number
from engine.pattern.text.pieces import SizeNames, Unit
from engine.pattern.text.statements import ForSizes, Heading, Note


class HeadingRules:
    """Headings and notes."""

    def _text(self, kind: str, c: list[Any]) -> Heading:
        return Heading(kind, spot_of(c), text=clean(c[-1]))

    def title(self, c: list[Any]) -> Heading:
        return self._text("title", c)

    def design(self, c: list[Any]) -> Heading:
        return self._text("design", c)

    def yarn(self, c: list[Any]) -> Heading:
        return self._text("yarn", c)

    def part(self, c: list[Any]) -> Heading:
        return self._text("part", c)

    def level(self, c: list[Any]) -> Heading:
        return self._names("level", c)

    def mirrored(self, c: list[Any]) -> Heading:
        return self._names("mirrored", c)

    def _names(self, kind: str, c: list[Any]) -> Heading:
        names = tuple(clean(name) for name in str(c[-1]).rstrip(". ").split(","))
        return Heading(kind, spot_of(c), names=names)

    def craft(self, c: list[Any]) -> Heading:
        return Heading("craft", spot_of(c), "needles" if c[-1].type == "NEEDLES" else "loop yarn")

    def sizes(self, c: list[Any]) -> Heading:
        names = tuple(n for s in all_of(c, SizeNames) for n in s.names)
        return Heading("sizes", spot_of(c), names=names)

    def gauge_of(self, c: list[Any]) -> tuple[Number, ...]:
        unit = first_of(c, Unit)
        over = all_of(c, Number)[2:]
        cm = Number((unit.cm if unit else 1.0,), spot_of(c))
        return (*all_of(c, Number)[:2], *(over or (Number((10.0,), spot_of(c)),)), cm)

    def gauge(self, c: list[Any]) -> Heading:
        return Heading("gauge", spot_of(c), numbers=c[-1])

    def ball(self, c: list[Any]) -> Heading:
        return Heading("ball", spot_of(c), numbers=all_of(c, Number))

    def finished(self, c: list[Any]) -> Heading:
        name = clean(c[0].split(None, 1)[1].rstrip().rstrip(":"))
        unit = first_of(c, Unit)
        along = "across" if token_of(c, "WIDE") else "up" if token_of(c, "HIGH") else ""
        return Heading(
            "finished", spot_of(c), name, (along,), all_of(c, Number), unit.cm if unit else 1.0
        )

    def section(self, c: list[Any]) -> Heading:
        return Heading("section", spot_of(c), str(c[0]))

    def length(self, c: list[Any]) -> Heading:
        numbers = all_of(c, Number)
        return Heading("length", spot_of(c), "open" if token_of(c, "OPEN") else "rows", (), numbers)

    def in_round(self, c: list[Any]) -> Heading:
        return Heading("worked", spot_of(c), "round")

    def flat(self, c: list[Any]) -> Heading:
        return Heading("worked", spot_of(c), "flat")

    def for_sizes(self, c: list[Any]) -> ForSizes:
        return ForSizes(tuple(n for s in all_of(c, SizeNames) for n in s.names), spot_of(c))

    def all_sizes(self, c: list[Any]) -> ForSizes:
        return ForSizes((), spot_of(c))

    def note(self, c: list[Any]) -> Note:
        names = tuple(n for s in all_of(c, SizeNames) for n in s.names)
        return Note(clean(c[-1]), names, spot_of(c))
