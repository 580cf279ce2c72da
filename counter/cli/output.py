"""Files that a command writes for the maker."""

from pathlib import Path

from engine.base.refusal import Refusal


def write(path: Path, content: bytes) -> None:
    """Write a file. Raises Refusal where that cannot be done."""
    try:
        path.write_bytes(content)
    except OSError as error:
        raise Refusal(
            f"{path} cannot be written ({error.strerror}): name another file with -o."
        ) from error
