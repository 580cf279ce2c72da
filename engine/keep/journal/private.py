"""A data folder is its owner's alone: what others on the machine could read is mended."""

import os
import re
import stat
import sys
from pathlib import Path

from engine.base.files import PRIVATE_FILE, PRIVATE_FOLDER

_OURS = re.compile(
    r"makes\.db(-\w+)?|journal|backups|set-aside|notes|\w[\w-]*\.lock|settings\.\w+|voices[\w.-]*"
)
"""Names that a data folder of ours holds."""
_FOLDERS = ("journal", "backups", "set-aside", "notes", "backups/notes")
_OTHERS = stat.S_IRWXG | stat.S_IRWXO


def mend(data: Path) -> str:
    """Take the makes of a folder from everybody but their owner; a sentence where that was needed.

    The folder itself too, if it holds nothing else: one that is used for other things is the
    maker's own business. What cannot be changed, or belongs to somebody else, is left.
    """
    there = list(data.iterdir())
    ours = [path for path in there if _OURS.fullmatch(path.name)]
    mended = [_taken(path) for path in ours]
    # A link may lead to a folder that is used for other things.
    folders = [data / name for name in _FOLDERS if not (data / name).is_symlink()]
    mended += [_taken(path) for folder in folders for path in folder.glob("*")]
    if len(ours) == len(there):
        mended.append(_taken(data))
    if not any(mended):
        return ""
    return f"Others on this machine could read the makes in {data}; now only you can."


def _taken(path: Path) -> bool:
    """Whether others could get at something, and now cannot."""
    if sys.platform == "win32":
        return False  # there a user's folder is the user's
    try:
        status = path.lstat()
        folder = stat.S_ISDIR(status.st_mode)
        if not (folder or stat.S_ISREG(status.st_mode)) or status.st_uid != os.getuid():
            return False
        if not status.st_mode & _OTHERS:
            return False
        path.chmod(PRIVATE_FOLDER if folder else PRIVATE_FILE)
        # A drive of another system may not know modes, and takes the change without a word.
        return not path.lstat().st_mode & _OTHERS
    except OSError:
        return False
