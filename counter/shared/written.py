"""Pattern files: read from the disk with every way it can fail told in one sentence."""

from pathlib import Path

from engine.base.refusal import Refusal
from engine.pattern.text.read import BYTES_AT_MOST
from models.text import legible_lines


def pattern_text(path: Path) -> str:
    """The text of a pattern file, made legible. Raises Refusal where it is no text in UTF-8."""
    try:
        with path.open("rb") as file:
            content = file.read(BYTES_AT_MOST + 1)
    except (OSError, ValueError) as error:  # a name that no file can have is a ValueError
        why = getattr(error, "strerror", None) or str(error)
        raise Refusal(f"{path} cannot be read ({why}): name a pattern file.") from error
    if len(content) > BYTES_AT_MOST:
        raise Refusal(f"{path} is larger than {BYTES_AT_MOST // 1000} kB: that is no pattern.")
    try:
        return legible_lines(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise Refusal(
            f"{path} is not UTF-8 text (byte {error.start + 1}): save it as plain text in UTF-8."
        ) from error
