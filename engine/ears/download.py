"""A file of a known size from a known address, going on where an earlier try broke off.

A thread asks and reads; the caller's thread writes, and gives up on it in time: whatever hangs (the
name's address, a server that sends a letter a minute), nobody waits longer than is said here.
"""

import queue
import threading
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import urlsplit

from engine.base.files import force
from engine.base.refusal import Refusal

if TYPE_CHECKING:
    from requests import Response

SILENT_S = 30.0
"""Seconds for an answer, and for the next piece of the file."""
LONGEST_S = 3600.0
"""Seconds for one try."""
_BLOCK = 2**14
_AHEAD = 64
"""Blocks that may wait to be written."""
REDIRECTS = 5
ZIP = b"PK\x03\x04"
"""How an archive begins. Source: APPNOTE.TXT, .ZIP File Format Specification, 4.3.7."""

Progress = Callable[[int, int], None]
"""Told the bytes that are here and the bytes in all."""


class Wanted(NamedTuple):
    """What is fetched."""

    url: str
    size: int
    """Bytes."""


class _Begun(NamedTuple):
    """The answer's beginning: from which byte on the file comes."""

    at: int


class _Useless(Refusal):
    """What is here already cannot be gone on with."""


_Piece = _Begun | bytes | Exception | None
"""What the reading thread has to tell; None at the end."""


def download(wanted: Wanted, part: Path, progress: Progress) -> None:
    """Bring `part` to the wanted size. What it holds already is not asked for again.

    Raises Refusal, and leaves in `part` nothing that is not from the file; raises OSError where
    it cannot be written.
    """
    have = _kept(part, wanted.size)
    if have == wanted.size:
        return
    pieces: queue.Queue[_Piece] = queue.Queue(_AHEAD)
    stop = threading.Event()
    reading = threading.Thread(
        target=_read, args=(wanted, have, pieces, stop), name="download", daemon=True
    )
    reading.start()
    try:
        _write(wanted, part, _in_time(wanted, pieces, part), progress)
    except _Useless:
        part.unlink(missing_ok=True)
        raise
    finally:
        stop.set()
    if (here := _size(part)) < wanted.size:
        raise Refusal(f"The connection broke off with {_here(wanted, here)}")


def _size(part: Path) -> int:
    """Bytes of a file; none where a connection ended before anything came."""
    return part.stat().st_size if part.exists() else 0


def _kept(part: Path, size: int) -> int:
    """Bytes of an earlier try; what is none of the file is thrown away."""
    if not part.exists():
        return 0
    with part.open("rb") as file:
        begins = file.read(len(ZIP))
    have = part.stat().st_size
    if have > size or not ZIP.startswith(begins[: len(ZIP)]):
        part.unlink()
        return 0
    return have


def _write(wanted: Wanted, part: Path, pieces: Iterator[_Piece], progress: Progress) -> None:
    begun = next(pieces)
    assert isinstance(begun, _Begun)
    have = begun.at
    first = next(pieces, None)
    if not isinstance(first, bytes):
        return
    if not have and not first.startswith(ZIP):
        raise Refusal(_another(wanted, "it is no archive"))
    with part.open("ab" if have else "wb") as file:
        file.truncate(have)
        block: _Piece = first
        while isinstance(block, bytes):
            have += len(block)
            if have > wanted.size:
                raise _Useless(_another(wanted, "it does not end where the file ends"))
            file.write(block)
            progress(have, wanted.size)
            block = next(pieces, None)
        file.flush()
        force(file.fileno())


def _in_time(wanted: Wanted, pieces: "queue.Queue[_Piece]", part: Path) -> Iterator[_Piece]:
    """The pieces as they come. Raises Refusal where they stop coming."""
    end = monotonic() + LONGEST_S
    while True:
        try:
            piece = pieces.get(timeout=max(0.0, min(SILENT_S, end - monotonic())))
        except queue.Empty:
            here = _size(part)
            if monotonic() >= end:
                raise Refusal(
                    f"{_host(wanted.url)} is too slow: after {_minutes(LONGEST_S)} there are "
                    f"{_here(wanted, here)}"
                ) from None
            raise Refusal(
                f"{_host(wanted.url)} has sent nothing for {SILENT_S:.0f} seconds; there are "
                f"{_here(wanted, here)}"
            ) from None
        if piece is None:
            return
        if isinstance(piece, Exception):
            raise piece
        yield piece


def _read(wanted: Wanted, have: int, pieces: "queue.Queue[_Piece]", stop: threading.Event) -> None:
    """In a thread of its own: everything that can hang."""

    def tell(piece: _Piece) -> None:
        while not stop.is_set():
            try:
                pieces.put(piece, timeout=1.0)
                return
            except queue.Full:
                continue

    try:
        for piece in _answer(wanted, have):
            tell(piece)
            if stop.is_set():
                return
        tell(None)
    except Exception as error:
        tell(error)


def _answer(wanted: Wanted, have: int) -> Iterator[_Piece]:
    import requests  # late: nothing else needs the network

    asked = {"Accept-Encoding": "identity"} | ({"Range": f"bytes={have}-"} if have else {})
    host = _host(wanted.url)
    begun = False
    try:
        with requests.Session() as session:
            session.max_redirects = REDIRECTS
            given = session.get(wanted.url, headers=asked, stream=True, timeout=SILENT_S)
            with closing(given) as answer:
                at = have if answer.status_code == requests.codes.partial_content else 0
                _check(wanted, answer, at)
                begun = True
                yield _Begun(at)
                yield from answer.iter_content(_BLOCK)
    except requests.TooManyRedirects:
        raise Refusal(
            f"{host} sends from one address to the next, more than {REDIRECTS} times: a network "
            "that wants a sign-in does so. Open a page in a browser, sign in, and fetch again."
        ) from None
    except requests.exceptions.SSLError:
        raise Refusal(
            f"What answers for {host} cannot prove that it is {host}: a network that wants a "
            "sign-in does so, or this computer's clock is wrong. See to it and fetch again."
        ) from None
    except requests.RequestException as error:
        if begun:
            return  # what is missing is told by the file's size
        if isinstance(error, requests.Timeout):
            raise Refusal(
                f"{host} has not answered for {SILENT_S:.0f} seconds: try again later."
            ) from None
        raise Refusal(
            f"There is no way to {host} from here: connect this computer to the internet and try "
            "again. The voice that is built in works without."
        ) from None


def _check(wanted: Wanted, answer: "Response", at: int) -> None:
    """Raises Refusal for an answer that is not the file, before a byte of it is kept."""
    headers = answer.headers
    if answer.status_code >= 400:
        raise Refusal(
            f"{wanted.url} answers {answer.status_code}: try again later, or fetch that file "
            "yourself, unpack it and name its folder with --model."
        )
    kind = headers.get("Content-Type", "").partition(";")[0].strip().lower()
    if kind in {"text/html", "application/xhtml+xml"}:
        host = _host(answer.url)
        raise Refusal(
            f"{host} gave a page to read instead of the voice: a network that wants a sign-in "
            "does so. Open a page in a browser, sign in, and fetch again."
        )
    if at:
        told = headers.get("Content-Range", "")
        if told != f"bytes {at}-{wanted.size - 1}/{wanted.size}":
            raise _Useless(_another(wanted, "the rest that it gives is of another file"))
    elif (length := headers.get("Content-Length", "")).isdecimal() and int(length) != wanted.size:
        raise Refusal(_another(wanted, f"it has {length[:20]} bytes instead of {wanted.size}"))


def _another(wanted: Wanted, why: str) -> str:
    return (
        f"What came from {wanted.url} is not the file that its makers published ({why}); it was "
        "thrown away. Try again later, and if it happens again, tell us."
    )


def _host(url: str) -> str:
    return urlsplit(url).hostname or url


def _here(wanted: Wanted, here: int) -> str:
    mega = 2**20
    return (
        f"{here // mega} of {wanted.size // mega} MB here: run the same command again and it goes "
        "on from there."
    )


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.0f} minutes" if seconds >= 120 else f"{seconds:.0f} seconds"
