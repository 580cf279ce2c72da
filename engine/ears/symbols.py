"""The words of a Vosk model folder, without loading the model.

They stand in `graph/words.txt`, or, where a model has no such file, inside its grammar
`graph/Gr.fst`: an OpenFst binary file with its symbol table at the front (layout after OpenFst's
fst.cc and symbol-table.cc).
"""

import struct
from pathlib import Path

_FST = 2125659606
_TABLE = 2125658996
_HAS_INPUT, _HAS_OUTPUT = 1, 2
_REST_OF_HEADER = struct.calcsize("<Qqqq")
"""Properties, start state, number of states, number of arcs."""


class NoWordsError(ValueError):
    """A model folder has no word list that can be read; its text names the file, or is empty."""


def model_words(model_dir: Path) -> frozenset[str]:
    """Every word a model knows. Raises NoWordsError."""
    for name in ("graph/words.txt", "words.txt"):
        path = model_dir / name
        if path.is_file():
            return _listed(path)
    path = model_dir / "graph" / "Gr.fst"
    if not path.is_file():
        raise NoWordsError("")
    return _embedded(path)


def _listed(path: Path) -> frozenset[str]:
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
        pairs = [line.split() for line in lines if line]
        return frozenset(word for word, number in pairs if int(number) >= 0)
    except (OSError, ValueError) as error:
        raise NoWordsError(path.name) from error


def _embedded(path: Path) -> frozenset[str]:
    words: set[str] = set()
    try:
        data = path.read_bytes()
        (magic,) = struct.unpack_from("<i", data)
        if magic != _FST:
            raise NoWordsError(path.name)
        place = _skip_text(data, _skip_text(data, 4))
        (flags,) = struct.unpack_from("<i", data, place + 4)
        place += 8 + _REST_OF_HEADER
        for flag in (_HAS_INPUT, _HAS_OUTPUT):
            if flags & flag:
                place = _read_table(data, place, words)
    except (OSError, struct.error, UnicodeDecodeError) as error:
        raise NoWordsError(path.name) from error
    return frozenset(words)


def _read_table(data: bytes, place: int, words: set[str]) -> int:
    (magic,) = struct.unpack_from("<i", data, place)
    if magic != _TABLE:
        raise NoWordsError("Gr.fst")
    place = _skip_text(data, place + 4)
    (size,) = struct.unpack_from("<q", data, place + 8)
    place += 16
    for _ in range(size):
        end = _skip_text(data, place)
        words.add(data[place + 4 : end].decode("utf-8"))
        place = end + 8
    return place


def _skip_text(data: bytes, place: int) -> int:
    length = int(struct.unpack_from("<i", data, place)[0])
    if length < 0 or place + 4 + length > len(data):
        raise struct.error("a text runs past the end")
    return place + 4 + length
