"""What is looked at before a model folder is handed to Vosk.

Kaldi ends the whole program on some damaged files instead of saying so. So a model whose digests
are known is held against them: the one that came with the program, by what the installer noted,
and a fetched one, by the list that was written when it was unpacked. Of any other model the small
files are read, where most of that harm is done; what remains is found out by `trial`.
"""

import base64
import re
import struct
from hashlib import sha256
from importlib import metadata
from pathlib import Path

SUMS = "SHA256SUMS"
_OPTION = re.compile(r"--[a-z0-9.-]+(=[\w.:,/+-]*)?")
_LARGEST = 2**20
_LARGEST_SUM = 1e15


def damage(folder: Path) -> str:
    """The first file of a Vosk model folder that is not as it should be; empty for none."""
    for name, digest in _known(folder).items():
        if _digest(folder / name) != digest:
            return name
    for options in sorted((folder / "conf").glob("*.conf")):
        if not _are_options(options):
            return f"conf/{options.name}"
    means = folder / "am" / "global_cmvn.stats"
    return "am/global_cmvn.stats" if means.exists() and not _is_matrix(means) else ""


def is_vouched_for(folder: Path) -> bool:
    """Whether digests of the folder's files are known, which `damage` holds it against."""
    return bool(_known(folder))


def digest(folder: Path) -> str:
    """One digest of the names and bytes of all a folder's files."""
    found = sha256()
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        found.update(
            f"{_digest(path)}  {path.relative_to(folder).as_posix()}\n".encode(
                "utf-8", "surrogateescape"
            )
        )
    return found.hexdigest()


def write_sums(folder: Path) -> None:
    """Note the digests of a folder's files, to hold it against later. Raises OSError."""
    files = sorted(path for path in folder.rglob("*") if path.is_file() and path.name != SUMS)
    lines = [f"{_digest(path)}  {path.relative_to(folder).as_posix()}\n" for path in files]
    (folder / SUMS).write_text("".join(lines), encoding="utf-8")


def _known(folder: Path) -> dict[str, str]:
    """Digests by file, as noted in the folder or by the installer; empty where nobody did."""
    noted = folder / SUMS
    if noted.exists():
        try:
            lines = noted.read_text(encoding="utf-8").splitlines()
        except (OSError, UnicodeDecodeError):
            return {SUMS: ""}
        pairs = [line.split("  ", 1) for line in lines]
        return {pair[1]: pair[0] for pair in pairs if len(pair) == 2} or {SUMS: ""}
    try:
        files = metadata.files("spokenrow") or []
    except metadata.PackageNotFoundError:
        return {}
    found = {}
    for file in files:
        path = Path(str(file.locate()))
        if file.hash and file.hash.mode == "sha256" and path.is_relative_to(folder):
            raw = base64.urlsafe_b64decode(file.hash.value + "=")
            found[path.relative_to(folder).as_posix()] = raw.hex()
    return found


def _digest(path: Path) -> str:
    found = sha256()
    try:
        with path.open("rb") as file:
            while block := file.read(2**20):
                found.update(block)
    except OSError:
        return "unreadable"
    return found.hexdigest()


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
