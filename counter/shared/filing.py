"""A file written where the maker says, all or nothing, and none replaced unasked."""

from collections.abc import Callable
from pathlib import Path

from engine.base.files import replace
from engine.base.refusal import Refusal
from models.text import legible_lines


def write_file(
    path: Path, content: str | bytes, may_replace: Callable[[Path], bool], how: str = ""
) -> None:
    """Write it; text is made legible on its way.

    Where one is there already `may_replace` is asked. Raises Refusal where it must not be
    replaced (`how` says what else could be done), and where it cannot be written.
    """
    if isinstance(content, str):
        content = legible_lines(content).encode()
    try:
        if path.exists() and not path.is_file():
            path.write_bytes(content)  # a pipe or a device; of a folder the system complains
            return
        if path.exists() and not may_replace(path):
            raise Refusal(f"{path} is already there: give another name{how}.")
        if not path.parent.exists():
            raise FileNotFoundError(2, f"there is no folder {path.parent}")
        replace(path.resolve(), content, private=False)
    except (OSError, ValueError) as error:
        if isinstance(error, Refusal):
            raise
        why = getattr(error, "strerror", None) or str(error)
        raise Refusal(f"{path} cannot be written ({why}): give another name.") from error
