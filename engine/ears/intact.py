"""What is looked at before a model folder is handed to Vosk.

Kaldi ends the whole program on some damaged files instead of saying so; those are the small ones,
and they are read here first. The large ones it checks itself.
"""

import re
import struct
from pathlib import Path

_OPTION = re.compile(r"--[a-z0-9.-]+(=[\w.:,/+-]*)?")
_LARGEST = 2**20
_LARGEST_SUM = 1e15


def damage(folder: Path) -> str:
    """The first file of a Vosk model folder that is not as it should be; empty for none."""
    for options in sorted((folder / "conf").glob("*.conf")):
        if not _are_options(options):
            return f"conf/{options.name}"
    means = folder / "am" / "global_cmvn.stats"
    return "am/global_cmvn.stats" if means.exists() and not _is_matrix(means) else ""


def _are_options(path: Path) -> bool:
    try:
        if path.stat().st_size > _LARGEST:
            return False
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return False
    given = [line.partition("#")[0].strip() for line in lines]
    return any(given) and all(not line or _OPTION.fullmatch(line) for line in given)


def _is_matrix(path: Path) -> bool:
    """Mean statistics, binary (kind, then height and width behind their sizes) or text."""
    try:
        if path.stat().st_size > _LARGEST:
            return False
        content = path.read_bytes()
        values = _binary(content) if content.startswith(b"\0B") else _text(content)
    except (OSError, ValueError, struct.error):
        return False
    # Sums and their count, then squares: a count of nothing ends the program.
    sums = values[: len(values) // 2]
    return len(sums) > 1 and sums[-1] >= 1 and all(abs(value) < _LARGEST_SUM for value in values)


def _binary(content: bytes) -> list[float]:
    kind = content[2:5]
    four, rows, four_again, columns = struct.unpack_from("<bibi", content, 5)
    if (four, rows, four_again) != (4, 2, 4) or kind not in (b"DM ", b"FM "):
        raise ValueError
    number = "d" if kind == b"DM " else "f"
    whole = struct.Struct(f"<{2 * columns}{number}")
    if len(content) != 15 + whole.size:
        raise ValueError
    return list(whole.unpack(content[15:]))


def _text(content: bytes) -> list[float]:
    inside = content.strip().removeprefix(b"[").removesuffix(b"]").split()
    if len(inside) % 2:
        raise ValueError
    return [float(value) for value in inside]
