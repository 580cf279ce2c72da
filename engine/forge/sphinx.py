"""Readers for the CMU en-us model that the pocketsphinx wheel carries (a PTM model).

PTM: every base phone has one codebook of Gaussians per feature stream, and each senone (tied HMM
state) of that phone mixes its phone's Gaussians with weights of its own. File layouts: those of
CMU Sphinx "s3" parameter files and of the binary model definition ("BMDF").
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from enum import IntEnum
from importlib.resources import files
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

_BYTE_ORDER_MARK = 0x11223344
_LOG_BASE = 1.0001
_MIXTURE_SHIFT = 10
"""Mixture weights are stored as -log_1.0001(w) >> 10, one byte each."""

VARIANCE_FLOOR = 1e-4
"""The floor that the original decoder applies (its option varfloor)."""

Floats = NDArray[np.float64]


class Position(IntEnum):
    """Where in its word a phone stands, numbered as in the model definition."""

    INTERNAL = 0
    BEGIN = 1
    END = 2
    SINGLE = 3


@dataclass(frozen=True)
class AcousticModel:
    """The CMU model in plain arrays. P phones, S senones, C codebooks, F streams, K Gaussians."""

    names: tuple[str, ...]
    """Base phones by number."""
    fillers: frozenset[int]
    """Base phones that are no speech (silence and noises)."""
    silence: int
    triphones: dict[tuple[int, int, int, Position], int]
    """(base, left, right, position) to a phone's number."""
    senones: NDArray[np.int64]
    """(P, 3): the senone of each state of each phone."""
    transition_ids: NDArray[np.int64]
    """(P,): each phone's transition matrix."""
    transitions: Floats
    """(T, 3, 4): probability from state to state, the fourth being the exit."""
    codebooks: NDArray[np.int64]
    """(S,): the codebook (base phone) of each senone."""
    means: Floats
    """(C, F, K, D)."""
    variances: Floats
    """(C, F, K, D), floored."""
    weights: Floats
    """(S, F, K) mixture weights; they sum to about one over K."""

    def phone(self, base: int, left: int, right: int, position: Position) -> int:
        """The phone for a base phone in context, backing off as the original decoder does.

        Other positions first, then silence for the context across a word edge, then the base phone
        alone. Noises count as silence.
        """
        left = self.silence if left in self.fillers else left
        right = self.silence if right in self.fillers else right
        positions = [position, *(p for p in Position if p is not position)]
        opens = position in (Position.BEGIN, Position.SINGLE)
        closes = position in (Position.END, Position.SINGLE)
        contexts = [
            (left, right),
            (self.silence if opens else left, self.silence if closes else right),
        ]
        for context_left, context_right in contexts:
            for place in positions:
                found = self.triphones.get((base, context_left, context_right, place))
                if found is not None:
                    return found
        return base


def model_dir() -> Path:
    """The folder of the en-us model inside the installed pocketsphinx package."""
    return Path(str(files("pocketsphinx"))) / "model" / "en-us" / "en-us"


def read_dictionary(path: Path | None = None) -> dict[str, list[tuple[str, ...]]]:
    """The pronouncing dictionary beside the model: word to its pronunciations, in file order."""
    path = path or model_dir().parent / "cmudict-en-us.dict"
    found: dict[str, list[tuple[str, ...]]] = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        word, *phones = line.split()
        said = tuple(phones)
        known = found.setdefault(word.split("(")[0], [])
        if said not in known:
            known.append(said)
    return found


def read_model(folder: Path | None = None) -> AcousticModel:
    """Reads the model. Raises FileNotFoundError or ValueError for one that is not there or odd."""
    folder = folder or model_dir()
    definition = _read_definition(folder / "mdef")
    codebooks = np.zeros(definition.senones, np.int64)
    for phone, base in enumerate(definition.bases):
        codebooks[definition.sequences[phone]] = base
    means = _read_gaussians(folder / "means")
    streams, densities = means.shape[1:3]
    return AcousticModel(
        names=definition.names,
        fillers=definition.fillers,
        silence=definition.silence,
        triphones=definition.triphones,
        senones=definition.sequences,
        transition_ids=definition.transition_ids,
        transitions=_read_transitions(folder / "transition_matrices"),
        codebooks=codebooks,
        means=means,
        variances=np.maximum(_read_gaussians(folder / "variances"), VARIANCE_FLOOR),
        weights=_read_weights(folder / "sendump", streams, densities, definition.senones),
    )


def _s3_body(path: Path) -> bytes:
    """What follows the text header and the byte order mark of an s3 file."""
    data = path.read_bytes()
    start = data.index(b"endhdr\n") + len(b"endhdr\n")
    if struct.unpack_from("<I", data, start)[0] != _BYTE_ORDER_MARK:
        raise ValueError(f"{path} is not a little-endian s3 file")
    return data[start + 4 :]


def _read_gaussians(path: Path) -> Floats:
    body = _s3_body(path)
    codebooks, streams, densities = struct.unpack_from("<3i", body)
    sizes = set(struct.unpack_from(f"<{streams}i", body, 12))
    if len(sizes) != 1:
        raise ValueError(f"{path} has streams of unequal size")
    shape = (codebooks, streams, densities, sizes.pop())
    values = np.frombuffer(body, "<f4", int(np.prod(shape)), 16 + 4 * streams)
    return values.reshape(shape).astype(np.float64)


def _read_transitions(path: Path) -> Floats:
    body = _s3_body(path)
    count, rows, columns, _ = struct.unpack_from("<4i", body)
    values = np.frombuffer(body, "<f4", count * rows * columns, 16).astype(np.float64)
    matrices = values.reshape(count, rows, columns)
    normal: Floats = matrices / matrices.sum(-1, keepdims=True)
    return normal


def _read_weights(path: Path, streams: int, densities: int, senones: int) -> Floats:
    data = path.read_bytes()
    place = 0
    header: list[bytes] = []
    while (length := struct.unpack_from("<i", data, place)[0]) != 0:
        header.append(data[place + 4 : place + 4 + length].rstrip(b"\0"))
        place += 4 + length
    place += 4
    fields = dict(line.split(b" ", 1) for line in header if b" " in line)
    if int(fields.get(b"cluster_count", b"0")):
        raise ValueError(f"{path} is clustered; only plain weights are read")
    rows, columns = struct.unpack_from("<2i", data, place)
    if (rows, columns) != (densities, senones):
        raise ValueError(f"{path} does not match its model definition")
    stored = np.frombuffer(data, np.uint8, streams * rows * columns, place + 8)
    logs = -stored.reshape(streams, rows, columns).astype(np.float64)
    shaped: Floats = np.exp(logs * (1 << _MIXTURE_SHIFT) * np.log(_LOG_BASE)).transpose(2, 0, 1)
    return shaped


@dataclass(frozen=True)
class _Definition:
    names: tuple[str, ...]
    fillers: frozenset[int]
    silence: int
    triphones: dict[tuple[int, int, int, Position], int]
    bases: list[int]
    """Each phone's base phone."""
    sequences: NDArray[np.int64]
    """(P, 3): each phone's senones."""
    transition_ids: NDArray[np.int64]
    senones: int


def _read_definition(path: Path) -> _Definition:
    data = path.read_bytes()
    if data[:4] != b"BMDF":
        raise ValueError(f"{path} is not a little-endian binary model definition")
    place = 12 + struct.unpack_from("<i", data, 8)[0]
    base_count, phone_count, states, _, senone_count, _, sequence_count, _, tree, silence = (
        struct.unpack_from("<10i", data, place)
    )
    place += 40
    names_start = place
    names: list[str] = []
    for _ in range(base_count):
        end = data.index(b"\0", place)
        names.append(data[place:end].decode("ascii"))
        place = end + 1
    place = names_start + (place - names_start + 3) // 4 * 4 + 8 * tree
    layout = np.dtype([("sequence", "<i4"), ("transition", "<i4"), ("context", "u1", 4)])
    phones = np.frombuffer(data, layout, phone_count, place)
    place += layout.itemsize * phone_count
    (values,) = struct.unpack_from("<i", data, place)
    sequences = np.frombuffer(data, "<u2", values, place + 4).reshape(sequence_count, states)
    context = phones["context"].astype(int)
    triphones = {
        (base, left, right, Position(position)): base_count + number
        for number, (position, base, left, right) in enumerate(context[base_count:].tolist())
    }
    bases = [*range(base_count), *context[base_count:, 1].tolist()]
    return _Definition(
        names=tuple(names),
        fillers=frozenset(np.flatnonzero(context[:base_count, 0]).tolist()),
        silence=silence,
        triphones=triphones,
        bases=bases,
        sequences=sequences.astype(np.int64)[phones["sequence"]],
        transition_ids=phones["transition"].astype(np.int64),
        senones=senone_count,
    )
