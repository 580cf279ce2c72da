"""What is drawn by us, line by line."""

from textual.reactive import reactive
from textual.widget import Widget


class Drawn(Widget):
    """A widget without anything to tap in it: it is not looked through for that."""

    auto_links = reactive(False)
