"""What the voice model in place was made of, noted at its last build.

A build takes a minute and a half and comes out the same from the same inputs, so between two builds
it is enough that nothing changed: neither what goes in nor the files that came out. A build that
compares every byte is `python -m engine.forge --check`.
"""

from __future__ import annotations

import hashlib
import json
import lzma
from importlib.metadata import version
from pathlib import Path

from engine.forge import build
from engine.words.grammar import attention, vocabulary

NOTE = Path(__file__).with_name("made.json")
_NO_PART = {"__init__.py", "__main__.py", "decision.py", "near.py", "noted.py"}
"""Modules of the forge that a build does not use."""
_PACKAGES = ("pocketsphinx", "pynini", "wordfreq")
"""Where the acoustic model, the graphs and the decoys come from."""


def digests(folder: Path) -> dict[str, str]:
    """SHA-256 of every file below a folder, by its path there; of a packed one, what is in it, for
    another release of xz may pack it otherwise.
    """
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(_content(path)).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def _content(path: Path) -> bytes:
    content = path.read_bytes()
    return lzma.decompress(content) if path.suffix == ".xz" else content


def inputs() -> dict[str, str]:
    """All that a build is made of, by name: the version of a package, the SHA-256 of a file or of
    the words.
    """
    here = NOTE.parent
    files = [
        path
        for path in sorted(here.iterdir())
        if path.suffix in {".py", ".toml", ".npz"} and path.name not in _NO_PART
    ]
    said = {
        "the sentences": build.sentences(),
        "the phrases": build.plain(),
        "the words": vocabulary(),
        "the attention word": attention(),
        "the answers": build.answers(),
    }
    return {
        **{package: version(package) for package in _PACKAGES},
        **{path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in files},
        **{
            name: hashlib.sha256(json.dumps(sorted(found)).encode()).hexdigest()
            for name, found in said.items()
        },
    }


def note(folder: Path) -> None:
    """Notes what a model folder was made of just now, and what came out."""
    made = {"of": inputs(), "files": digests(folder)}
    text = json.dumps(made, indent=1, sort_keys=True)
    NOTE.write_text(text + "\n", encoding="utf-8", newline="\n")


def changed(folder: Path) -> list[str]:
    """Names of what is not as it was at the last build: of what goes in, and of what came out."""
    made = json.loads(NOTE.read_text(encoding="utf-8"))
    pairs = ((made["of"], inputs()), (made["files"], digests(folder)))
    return [
        name
        for then, now in pairs
        for name in sorted(then.keys() | now.keys())
        if then.get(name) != now.get(name)
    ]
