"""Unpacking an archive that others made: nothing outside its folder, nothing without a bound."""

import shutil
import stat
import struct
import tempfile
import zipfile
import zlib
from pathlib import Path, PurePosixPath

from engine.base.refusal import Refusal

MOST_FILES = 500
MOST_BYTES = 512 * 2**20
"""Bytes of all files together, unpacked; the small voice models have about 70 MB."""
_LONGEST_PATH = 200
_DEEPEST = 10
_BLOCK = 2**18
_END = struct.Struct("<4sHHHHIIH")
_LARGEST_INDEX = 2**20


def unpack(
    archive: Path, target: Path, *, most_bytes: int = MOST_BYTES, most_files: int = MOST_FILES
) -> None:
    """Unpack a ZIP file into a new folder `target`, whole or not at all.

    A single folder at its top is left out. Raises Refusal where the archive is damaged, larger
    than it may be, or names anything but plain files inside itself; OSError for the disk's own
    troubles. Nothing is left behind then.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    scratch = Path(tempfile.mkdtemp(prefix=".unpacking-", dir=target.parent))
    try:
        inside = scratch / "inside"
        inside.mkdir()
        _extract(archive, inside, most_bytes, most_files)
        (top, *more) = sorted(inside.iterdir())
        (top if top.is_dir() and not more else inside).rename(target)
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def _extract(archive: Path, inside: Path, most_bytes: int, most_files: int) -> None:
    try:
        _check_index(archive)
        with zipfile.ZipFile(archive) as opened:
            entries = opened.infolist()
            if len(entries) > most_files:
                raise _refused(archive, f"it holds {len(entries)} files, more than {most_files}")
            places = _places(archive, entries)
            if all(entry.is_dir() for entry in entries):
                raise _refused(archive, "it is empty")
            left = most_bytes
            for entry, place in zip(entries, places, strict=True):
                path = inside.joinpath(*place.parts)
                if entry.is_dir():
                    path.mkdir(parents=True, exist_ok=True)
                    continue
                path.parent.mkdir(parents=True, exist_ok=True)
                with opened.open(entry) as source, path.open("xb") as made:
                    # What the index says of sizes is not believed; what comes out is counted.
                    while block := source.read(min(_BLOCK, left + 1)):
                        left -= len(block)
                        if left < 0:
                            raise _refused(
                                archive, f"unpacked it is larger than {most_bytes // 2**20} MB"
                            )
                        made.write(block)
    except (zipfile.BadZipFile, zlib.error, EOFError, struct.error, NotImplementedError) as error:
        raise _refused(archive, f"it is damaged ({error})") from error
    except (ValueError, RuntimeError, IndexError) as error:
        if isinstance(error, Refusal):
            raise
        raise _refused(archive, "it is damaged") from error
    except FileExistsError as error:
        raise _refused(archive, "it names one place twice") from error
    except NotADirectoryError as error:
        raise _refused(archive, "it names a file as a folder") from error


def _check_index(archive: Path) -> None:
    """The index is read into memory whole, so its size comes first."""
    with archive.open("rb") as file:
        size = file.seek(0, 2)
        file.seek(max(0, size - 2**16 - _END.size))
        tail = file.read()
    at = tail.rfind(b"PK\5\6")
    if at < 0 or len(tail) - at < _END.size:
        raise zipfile.BadZipFile("no ZIP file")
    index = _END.unpack_from(tail, at)[5]
    if index > _LARGEST_INDEX:
        raise _refused(archive, "its index is too large")


def _places(archive: Path, entries: list[zipfile.ZipInfo]) -> list[PurePosixPath]:
    """Where each entry goes, relative to the folder. Raises Refusal for any that leaves it."""
    places = []
    for entry in entries:
        name = entry.orig_filename
        place = PurePosixPath(name)
        kind = stat.S_IFMT(entry.external_attr >> 16)
        plain = (
            0 < len(name) <= _LONGEST_PATH
            and name.isprintable()
            and not any(mark in name for mark in '\\:*?"<>|')
            and not place.is_absolute()
            and ".." not in place.parts
            and 0 < len(place.parts) <= _DEEPEST
        )
        if entry.header_offset < 0:
            raise _refused(archive, "it is damaged")
        if not plain:
            raise _refused(archive, f"it names the place {name[:60]!r}, outside its folder")
        if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
            raise _refused(archive, f"{name[:60]!r} in it is no plain file")
        if entry.flag_bits & 1:
            raise _refused(archive, f"{name[:60]!r} in it is encrypted")
        places.append(place)
    if len({str(place).casefold() for place in places}) != len(places):
        raise _refused(archive, "it names one place twice")
    return places


def _refused(archive: Path, why: str) -> Refusal:
    return Refusal(f"{archive.name} cannot be unpacked: {why}. Nothing was kept of it.")
