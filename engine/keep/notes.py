"""Spoken notes: up to half a minute of the maker's own voice beside a row, asked for by her.

No other sound is ever written. A note is a file of its own in the data folder, its owner's alone,
written whole or not at all; its name holds the make's and the digest of its content (SHA-256, FIPS
180-4), and the event in the journal holds the same digest. So a file that is missing or damaged is
told, and the journal never hangs on it. A second one lies with the backups. Both go when the make
goes, or when the note is taken back.
"""

import contextlib
import io
import re
import wave
from hashlib import sha256
from pathlib import Path

from engine.base.files import replace
from engine.base.refusal import Refusal
from engine.keep.journal import backups, copy, trouble
from engine.keep.store import Store
from engine.make.progress import standing
from models.event import Event, Noted

FOLDER = "notes"
RATE = 16_000
"""Hz; 16-bit, mono."""
LONGEST_S = 30.0
LARGEST = round(LONGEST_S * RATE) * 2 + 1024
"""Bytes of a file."""
_DIGEST = re.compile(r"[0-9a-f]{64}")


def keep(store: Store, name: str, pcm: bytes) -> str:
    """Write a note's sound (16 kHz, mono, 16 bits) down; gives its digest. Raises Refusal."""
    if store.read_only:
        raise Refusal(store.read_only)
    file = io.BytesIO()
    with wave.open(file, "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(RATE)
        sound.writeframes(pcm[: 2 * round(LONGEST_S * RATE)])
    return put(store, name, file.getvalue())


def put(store: Store, name: str, content: bytes) -> str:
    """Write a note's file down as it is; gives its digest. Raises Refusal."""
    if len(content) > LARGEST:
        raise Refusal(f"A spoken note is longer than {LONGEST_S:.0f} s.")
    digest = sha256(content).hexdigest()
    try:
        for place in _places(store.folder, name, digest):
            replace(place, content)
    except OSError as error:
        remove_one(store, name, digest)
        raise Refusal(
            f"The note could not be written down ({trouble.why(error)}), so nothing was kept: "
            f"see to {store.folder}."
        ) from error
    return digest


def content(store: Store, name: str, digest: str) -> bytes:
    """A note's file. Raises Refusal where it is missing or not what was written."""
    found = False
    for place in _places(store.folder, name, digest):
        try:
            with place.open("rb") as file:
                read = file.read(LARGEST + 1)
        except OSError:
            continue
        if sha256(read).hexdigest() == digest:
            return read
        found = True
    what = "is damaged" if found else "is not there any more"
    raise Refusal(f"The sound of this note {what}; the note itself stands in the journal.")


def sound(store: Store, name: str, digest: str) -> bytes:
    """A note's sound, 16 kHz, mono, 16 bits. Raises Refusal, likewise."""
    try:
        with wave.open(io.BytesIO(content(store, name, digest))) as file:
            as_ours = (file.getnchannels(), file.getsampwidth(), file.getframerate())
            if as_ours == (1, 2, RATE):
                return bytes(file.readframes(file.getnframes()))
    except (wave.Error, EOFError):
        pass
    raise Refusal("The sound of this note is none that was written here.")


def digests(events: list[Event]) -> list[str]:
    """The sounds of the notes that stand, oldest first."""
    return [event.sound for event in standing(events) if isinstance(event, Noted) and event.sound]


def remove_one(store: Store, name: str, digest: str) -> None:
    """The sound of a note that was taken back goes. What cannot be removed is left."""
    for place in _places(store.folder, name, digest):
        with contextlib.suppress(OSError):
            place.unlink(missing_ok=True)


def remove_all(data: Path, name: str) -> None:
    """The make is gone, and all that was said beside it."""
    stem = _stem(data, name)
    for folder in _folders(data):
        for place in folder.glob(f"{stem}-*.wav"):
            with contextlib.suppress(OSError):
                place.unlink(missing_ok=True)


def copy_over(store: Store, name: str, other: str, events: list[Event]) -> None:
    """Another make has the same notes now. What cannot be read is told when it is asked for."""
    for digest in digests(events):
        with contextlib.suppress(Refusal):
            put(store, other, content(store, name, digest))


def _folders(data: Path) -> tuple[Path, Path]:
    return data / FOLDER, backups.folder(data) / FOLDER


def _stem(data: Path, name: str) -> str:
    return copy.place(data, name).name.removesuffix(copy.SUFFIX)


def _places(data: Path, name: str, digest: str) -> list[Path]:
    if not _DIGEST.fullmatch(digest):
        raise Refusal("The sound of this note has no name that is one.")
    return [folder / f"{_stem(data, name)}-{digest}.wav" for folder in _folders(data)]
