"""The line of keys at the foot of a screen: the obvious one first, and none of them cut in two."""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from textual import events
from textual.content import Content
from textual.reactive import reactive
from textual.style import Style
from textual.widget import Widget

from counter.tui.widgets.words import told


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
        self._down_on: object = None

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """A finger comes down on an offer."""
        self._down_on = event.style.meta.get("@click")

    def on_click(self, event: events.Click) -> None:
        """A finger that slid from one offer to another meant neither."""
        if event.style.meta.get("@click") != self._down_on:
            event.stop()
            event.prevent_default()

    def render(self) -> Content:
        """One line."""
        return line(self.offers, self.size.width)


@lru_cache(maxsize=64)
def line(offers: tuple[Offer, ...], width: int) -> Content:
    """The offers on one line, worded and spaced by the room there is."""
    for way in _ways(offers):
        if len(way.plain) <= width:
            return way
    return way  # not even one has room: its end is cut


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
    said = Content(f"{offer.key} {offer.label}")
    if offer.loud:
        said = Content.assemble((f" {offer.key} ", "bold reverse"), " ", (offer.label, "bold"))
    if offer.does:
        said = said.stylize(Style.from_meta({"@click": offer.does}))
    return told(said)
