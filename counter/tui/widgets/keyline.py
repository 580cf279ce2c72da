"""The line of keys at the foot of a screen: the obvious one first, and none of them cut in two."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget


class Offer(NamedTuple):
    """A key and what it does."""

    key: str
    """As it is written: `space`, `?`."""
    label: str
    short: str = ""
    """The same in fewer letters, for a narrow window; empty where there is no shorter way."""
    does: str = ""
    """The action of a click; empty for a key that is only told."""
    loud: bool = False


class KeyLine(Widget):
    """As many offers as there is room for; the last ones go first."""

    DEFAULT_CSS = "KeyLine { height: 1; }"
    offers: reactive[tuple[Offer, ...]] = reactive((), layout=False)

    def __init__(self, *offers: Offer, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.set_reactive(KeyLine.offers, offers)

    def render(self) -> Content:
        """One line."""
        return line(self.offers, self.size.width)


def line(offers: Sequence[Offer], width: int) -> Content:
    """The offers on one line, worded and spaced by the room there is."""
    for told in _ways(offers):
        if len(told.plain) <= width:
            return told
    return told  # not even one has room: its end is cut


def _ways(offers: Sequence[Offer]) -> Iterator[Content]:
    for count in range(max(1, len(offers)), 0, -1):
        some = offers[:count]
        brief = [offer._replace(label=offer.short or offer.label) for offer in some]
        yield _told(some, 3)
        yield _told(some, 2)
        yield _told([*some[:1], *brief[1:]], 2)
        yield _told(brief, 2)


def _told(offers: Sequence[Offer], gap: int) -> Content:
    return Content(" " * gap).join(_piece(offer) for offer in offers)


def _piece(offer: Offer) -> Content:
    said = "[bold reverse] $key [/] [bold]$label[/]" if offer.loud else "$key $label"
    if offer.does:
        said = f"[@click={offer.does}]{said}[/]"
    return Content.from_markup(said, key=offer.key, label=offer.label)
