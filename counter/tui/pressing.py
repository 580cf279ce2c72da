"""Key presses out of key events: a terminal sends a held key again and again, and no release.

A held key comes once, then after the keyboard's own delay some thirty times a second, until
another key is pressed. So an event continues the press before it while it follows the last event
of the same key closely; after a pause longer than any usual delay it is a press of its own.
"""

from collections.abc import Iterable

LIFTED = 1.1
"""Seconds without the key after which it was let go: longer than the delay before a repeat (X 0.66,
Linux console 0.25, GNOME 0.5, Windows up to 1; from memory)."""
MOVING = frozenset(
    {"up", "down", "left", "right", "pageup", "pagedown", "home", "end", "tab", "shift+tab"}
)
"""Keys that only move about, and may be held."""
DECIDING = frozenset({"enter", "escape", "ctrl+s"})
"""Keys that count once even in a line that is typed in."""


class Presses:
    """Tells a press from what only continues it. Seconds of any steady clock."""

    def __init__(self, same: Iterable[tuple[str, ...]] = ()) -> None:
        """`same` are keys that do one thing, and so are one key to a sleeve."""
        self._same = {key: keys[0] for keys in same for key in keys}
        self._last = ("", 0.0)

    def again(self, key: str, at: float) -> bool:
        """Whether this event only continues the press before it."""
        key = self._same.get(key, key)
        (before, when), self._last = self._last, (key, at)
        return key == before and 0 <= at - when < LIFTED
