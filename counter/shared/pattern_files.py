"""Files that may hold a pattern or an exported make, where people keep such things."""

from collections.abc import Iterator
from pathlib import Path

ENDINGS = (".txt", ".md", ".pdf", ".html", ".htm", ".json")
_FOLDERS = ("", "Documents", "Downloads", "Desktop")
_MOST = 40
_LOOKED_AT = 5000
"""Names of one folder that are read at most: a heap of files must not hold up the screen."""
_SIGN = b'"spokenrow make"'
_HEAD_BYTES = 4096


def found(home: Path | None = None, here: Path | None = None) -> list[Path]:
    """Such files in the folder at hand and in her own, the newest first; at most forty."""
    own = home or Path.home()
    folders = dict.fromkeys([here or Path.cwd(), *(own / name for name in _FOLDERS)])
    files = {path: when for folder in folders for path, when in _in(folder)}
    return sorted(files, key=lambda path: -files[path])[:_MOST]


def _in(folder: Path) -> Iterator[tuple[Path, float]]:
    try:
        for count, path in enumerate(folder.iterdir()):
            if count == _LOOKED_AT:
                return
            if path.suffix.lower() in ENDINGS and not path.name.startswith("."):
                try:
                    if path.is_file() and (path.suffix.lower() != ".json" or is_export(path)):
                        yield path, path.stat().st_mtime
                except OSError:
                    continue
    except OSError:
        return


def is_export(path: Path) -> bool:
    """Whether a file begins as an exported make does."""
    try:
        with path.open("rb") as file:
            return _SIGN in file.read(_HEAD_BYTES)
    except (OSError, ValueError):
        return False
