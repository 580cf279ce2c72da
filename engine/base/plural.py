"""A number with its noun: `1 row`, `3 rows`."""

from gettext import NullTranslations

_choose = NullTranslations().ngettext


def noun(count: int, one: str, many: str = "") -> str:
    """The noun alone, in the form that the number asks for; `many` where it is not `one` + s."""
    return _choose(one, many or f"{one}s", count)


def some(count: int, one: str, many: str = "") -> str:
    """The number and its noun."""
    return f"{count} {noun(count, one, many)}"
