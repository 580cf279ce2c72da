"""A voice model that nobody vouches for is tried first, in a program of its own.

Kaldi ends the whole program on many a damaged model file. A model whose digests are known was held
against them (`intact`); any other is loaded and given some sound in a child process, and where the
child ends, the model is refused in a sentence. What was survived is noted by a digest of all its
bytes, so that each model is tried once. The program's own starter is never tried.

    python -m engine.ears.trial FOLDER LANGUAGE
"""

import contextlib
import subprocess
import sys
from importlib import metadata
from pathlib import Path

import numpy as np

from engine.base.files import replace
from engine.ears.intact import digest, is_vouched_for
from engine.ears.recogniser import RATE_HZ, ModelError, Recogniser, starter_dir
from engine.words.grammar import vocabulary
from models.command import Context

NOTED = "voices-tried.txt"
"""The file of a data folder in which models that were survived are noted."""
_PATIENCE_S = 180.0
"""The largest model that Vosk's makers publish, 4 GB, loads in less from a slow disk."""
_REMEMBERED = 100
"""Models noted; the oldest go."""
_REFUSED = 2
_SOUND_S = 2.0


def open_recogniser(
    model_dir: Path | None = None, language: str = "en", data: Path | None = None
) -> Recogniser:
    """The recogniser with a model: None is the starter. Takes one more load for an unknown model.

    `data` is the folder in which it is noted what was survived; without it, each call tries.
    Raises ModelError, and FileNotFoundError for an unknown language.
    """
    vocabulary(language)
    if model_dir is not None and model_dir.is_dir() and not _is_trusted(model_dir):
        noted = data / NOTED if data is not None else None
        known, this = _read(noted), _print_of(model_dir)
        if this not in known:
            _try(model_dir, language)
            _write(noted, [*known, this][-_REMEMBERED:])
    return Recogniser(model_dir, language)


def _is_trusted(model_dir: Path) -> bool:
    return is_vouched_for(model_dir) or model_dir.resolve() == starter_dir().resolve()


def _print_of(model_dir: Path) -> str:
    """One digest for a model's bytes and the Vosk that reads them."""
    return f"{digest(model_dir)} vosk {metadata.version('vosk')}"


def _read(noted: Path | None) -> list[str]:
    if noted is not None:
        with contextlib.suppress(OSError, UnicodeDecodeError):
            return noted.read_text(encoding="utf-8").splitlines()
    return []


def _write(noted: Path | None, lines: list[str]) -> None:
    if noted is not None:
        with contextlib.suppress(OSError):  # then it is tried again the next time
            replace(noted, "".join(f"{line}\n" for line in lines).encode())


def _try(model_dir: Path, language: str) -> None:
    """Raises ModelError where a child that loads the model does not come back whole."""
    try:
        done = subprocess.run(
            [sys.executable, "-m", "engine.ears.trial", str(model_dir.absolute()), language],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=_PATIENCE_S,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise ModelError(
            f"The voice model in {model_dir} did not load within "
            f"{_PATIENCE_S:.0f} seconds: it may be damaged; unpack it again, or take a smaller one."
        ) from error
    except OSError as error:
        raise ModelError(
            f"The voice model in {model_dir} could not be tried out "
            f"({error.strerror or error}): close other programs and start again."
        ) from error
    if done.returncode == _REFUSED:
        raise ModelError(done.stdout.decode("utf-8", "replace").strip())
    if done.returncode != 0:
        raise ModelError(
            f"The voice model in {model_dir} is damaged: the recogniser breaks off at it; unpack "
            "it again."
        )


def _listen(model_dir: Path, language: str) -> None:
    """What the ears do, on noise that swells and fades: in a child."""
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    recogniser = Recogniser(model_dir, language)
    samples = np.random.default_rng(1).normal(0, 3000, round(_SOUND_S * RATE_HZ))
    swell = np.sin(np.linspace(0, 8 * np.pi, len(samples))) ** 2
    sound = (samples * swell).astype("<i2").tobytes()
    for context in Context:
        recogniser.start(context)
        recogniser.feed(sound)
        recogniser.finish()
    recogniser.close()


def main() -> int:
    """Try the model that is named; the exit code says what came of it."""
    try:
        _listen(Path(sys.argv[1]), sys.argv[2])
    except ModelError as error:
        sys.stdout.buffer.write(str(error).encode("utf-8", "replace"))
        return _REFUSED
    return 0


if __name__ == "__main__":
    sys.exit(main())
