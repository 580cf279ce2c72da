"""Where things are kept on this machine."""

from pathlib import Path

import platformdirs

from counter.shared.outward import warn
from engine.keep.store import Store


def data_folder(named: Path | None = None) -> Path:
    """The folder of the makes: the one named, or the user's own."""
    return named or Path(platformdirs.user_data_dir("spokenrow", appauthor=False))


def open_store(named: Path | None = None) -> Store:
    """The journal in that folder; what was found wrong with it is said on standard error.

    Raises Refusal where it cannot be used.
    """
    store = Store(data_folder(named) / "makes.db")
    for told in store.health:
        warn(told)
    return store
