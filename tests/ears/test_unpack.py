"""An archive by others: nothing outside its folder, nothing without a bound, nothing left over.

The tricks are the known ones: path escapes (CWE-22), links, bombs, overlapping and lying entries.
"""

import io
import random
import stat
import struct
import zipfile
from pathlib import Path

import pytest

from engine.base.refusal import Refusal
from engine.base.unpack import unpack
from tests.times import times

GOOD = {"m/am/final.mdl": b"model", "m/conf/model.conf": b"--x=1\n", "m/README": b"read"}


def archive(folder: Path, entries: dict[str, bytes] | list[tuple[object, bytes]]) -> Path:
    path = folder / "voice.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in entries.items() if isinstance(entries, dict) else entries:
            made.writestr(name, content)
    return path


def left(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*")} - {"voice.zip"}


def test_a_good_one_is_unpacked_without_its_top_folder(tmp_path: Path) -> None:
    unpack(archive(tmp_path, GOOD), tmp_path / "to" / "model")
    assert (tmp_path / "to" / "model" / "am" / "final.mdl").read_bytes() == b"model"
    assert left(tmp_path / "to" / "model") == {
        "am",
        "am/final.mdl",
        "conf",
        "conf/model.conf",
        "README",
    }
    assert [p.name for p in (tmp_path / "to").iterdir()] == ["model"]


@pytest.mark.parametrize(
    "name",
    [
        "../evil",
        "m/../../evil",
        "/etc/evil",
        "..\\evil",
        "C:\\evil",
        "C:evil",
        "m/..",
        "..",
        ".",
        "m/" + "d/" * 30 + "x",
        "m/" + "x" * 300,
        "m/a\nb",
        "m/a\x1b[2Jb",
        "m/CON:",
    ],
)
def test_no_name_leaves_the_folder(name: str, tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="outside its folder"):
        unpack(archive(tmp_path, {**GOOD, name: b"evil"}), tmp_path / "to" / "model")
    assert left(tmp_path) == {"to"}


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFCHR, stat.S_IFIFO, stat.S_IFSOCK])
def test_only_plain_files_come_out(kind: int, tmp_path: Path) -> None:
    info = zipfile.ZipInfo("m/link")
    info.external_attr = (kind | 0o777) << 16
    entries = [*GOOD.items(), (info, b"/etc/passwd")]
    with pytest.raises(Refusal, match="no plain file"):
        unpack(archive(tmp_path, entries), tmp_path / "to" / "model")
    assert left(tmp_path) == {"to"}


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize(
    "twice", [("m/a", "m/a"), ("m/a", "M/A"), ("m/a", "m//a"), ("m/a", "m/a/b"), ("m/a/b", "m/a")]
)
def test_no_place_is_named_twice(twice: tuple[str, str], tmp_path: Path) -> None:
    entries: list[tuple[object, bytes]] = [(name, b"x") for name in twice]
    with pytest.raises(Refusal, match=r"twice|as a folder|damaged"):
        unpack(archive(tmp_path, entries), tmp_path / "to" / "model")
    assert left(tmp_path) == {"to"}


def test_a_bomb_goes_out_at_the_bound(tmp_path: Path) -> None:
    path = archive(tmp_path, {**GOOD, "m/bomb": bytes(30 * 2**20)})
    assert path.stat().st_size < 2**16
    with pytest.raises(Refusal, match="larger than 5 MB"):
        unpack(path, tmp_path / "to" / "model", most_bytes=5 * 2**20)
    assert left(tmp_path) == {"to"}


def test_what_the_index_says_of_sizes_is_not_believed(tmp_path: Path) -> None:
    path = archive(tmp_path, {"m/bomb": bytes(30 * 2**20)})
    content = path.read_bytes()
    small = content.replace(struct.pack("<I", 30 * 2**20), struct.pack("<I", 10))
    assert small != content
    path.write_bytes(small)
    with pytest.raises(Refusal):
        unpack(path, tmp_path / "to" / "model", most_bytes=5 * 2**20)
    assert left(tmp_path) == {"to"}


def test_many_files_are_too_many(tmp_path: Path) -> None:
    path = archive(tmp_path, {f"m/{n}": b"" for n in range(501)})
    with pytest.raises(Refusal, match="more than 500"):
        unpack(path, tmp_path / "to" / "model")


def test_a_huge_index_is_not_read(tmp_path: Path) -> None:
    path = archive(tmp_path, {f"m/{n:0100}": b"" for n in range(9000)})
    with pytest.raises(Refusal, match="index is too large"):
        unpack(path, tmp_path / "to" / "model")


def test_encrypted_ones_are_refused(tmp_path: Path) -> None:
    path = archive(tmp_path, GOOD)
    content = bytearray(path.read_bytes())
    at = content.find(b"PK\1\2")
    content[at + 8] |= 1
    path.write_bytes(content)
    with pytest.raises(Refusal, match="encrypted"):
        unpack(path, tmp_path / "to" / "model")


@pytest.mark.parametrize("content", [b"", b"PK\5\6", b"no archive" * 1000, b"PK\3\4" + bytes(100)])
def test_what_is_no_archive_is_damaged(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "voice.zip").write_bytes(content)
    with pytest.raises(Refusal, match="damaged"):
        unpack(tmp_path / "voice.zip", tmp_path / "to" / "model")
    assert left(tmp_path) == {"to"}


def test_an_empty_one_is_refused(tmp_path: Path) -> None:
    for entries in ({}, {"m/": b""}):
        with pytest.raises(Refusal, match="it is empty"):
            unpack(archive(tmp_path, entries), tmp_path / "to" / "model")


@pytest.mark.parametrize("seed", range(times(150)))
def test_any_damage_is_refused_or_harmless(seed: int, tmp_path: Path) -> None:
    dice = random.Random(seed)
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in GOOD.items():
            made.writestr(name, content * 50)
    content = bytearray(buffer.getvalue())
    for _ in range(dice.randrange(1, 5)):
        content[dice.randrange(len(content))] = dice.randrange(256)
    (tmp_path / "voice.zip").write_bytes(
        content[: dice.randrange(len(content) // 2, len(content))] if seed % 5 == 0 else content
    )
    try:
        unpack(tmp_path / "voice.zip", tmp_path / "to" / "model")
    except Refusal:
        assert left(tmp_path) == {"to"}
    else:
        assert all(name == "to" or name.startswith("to/model") for name in left(tmp_path))
