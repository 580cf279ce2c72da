"""Files that a command writes for the maker."""

from pathlib import Path

from engine.base.refusal import Refusal
from models.text import legible_lines


def write(path: Path, content: str | bytes) -> None:
    """Write a file; text is made legible on its way. Raises Refusal where it cannot be done."""
    if isinstance(content, str):
        content = legible_lines(content).encode()
    try:
        path.write_bytes(content)
    except OSError as error:
        raise Refusal(
            f"{path} cannot be written ({error.strerror}): name another file with -o."
        ) from error
