"""Writing Kaldi's binary files: tokens, numbers, vectors, matrices; `ears.matrices` reads them.

Layouts after Kaldi's own sources: base/io-funcs, matrix/kaldi-matrix, matrix/compressed-matrix.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike

from engine.ears.matrices import BYTE_KNOTS

BINARY = b"\0B"
"""Opens every binary Kaldi file."""


def token(text: str) -> bytes:
    """A token and the space that ends it."""
    return text.encode("ascii") + b" "


def int32(value: int) -> bytes:
    """A sized 32-bit integer."""
    return b"\4" + struct.pack("<i", value)


def float32(value: float) -> bytes:
    """A sized 32-bit float."""
    return b"\4" + struct.pack("<f", value)


def float64(value: float) -> bytes:
    """A sized 64-bit float."""
    return b"\x08" + struct.pack("<d", value)


def int_vector(values: Iterable[int]) -> bytes:
    """A vector of 32-bit integers."""
    array = np.asarray(list(values), "<i4")
    return b"\4" + struct.pack("<i", len(array)) + array.tobytes()


def vector(values: ArrayLike) -> bytes:
    """A vector of 32-bit floats."""
    array = np.asarray(values, "<f4")
    return token("FV") + int32(len(array)) + array.tobytes()


def matrix(values: ArrayLike) -> bytes:
    """A matrix of 32-bit floats."""
    array = np.asarray(values, "<f4")
    return token("FM") + int32(array.shape[0]) + int32(array.shape[1]) + array.tobytes()


def double_matrix(values: ArrayLike) -> bytes:
    """A matrix of 64-bit floats."""
    array = np.asarray(values, "<f8")
    return token("DM") + int32(array.shape[0]) + int32(array.shape[1]) + array.tobytes()


def packed_matrix(values: ArrayLike) -> bytes:
    """A matrix in two bytes an element, evenly spaced from its least to its greatest value."""
    array = np.asarray(values, np.float64)
    least = np.float32(array.min())
    span = np.float32(array.max() - least)
    steps = np.clip(np.rint((array - least) / (span or 1) * 65535), 0, 65535).astype("<u2")
    head = struct.pack("<ffii", least, span, *array.shape)
    return token("CM2") + head + steps.tobytes()


def byte_matrix(values: ArrayLike) -> bytes:
    """A matrix in one byte an element: each column has its own scale, in three straight pieces
    from its least value by its quartiles to its greatest.
    """
    array = np.asarray(values, np.float64)
    least = np.float32(array.min())
    span = np.float32(array.max() - least)
    knots = np.quantile(array, (0, 0.25, 0.75, 1), axis=0, method="lower")
    marks = np.clip(np.rint((knots - least) / (span or 1) * 65535), 0, 65535)
    for k in (1, 2, 3):  # no piece is empty
        marks[k] = np.maximum(marks[k], marks[k - 1] + 1)
    for k, top in ((3, 65535), (2, 65534), (1, 65533), (0, 65532)):
        marks[k] = np.minimum(marks[k], top)
    scales = least + marks.T * np.float64(span) / 65535
    columns = zip(array.T, scales, strict=True)
    steps = [np.rint(np.interp(column, scale, BYTE_KNOTS)) for column, scale in columns]
    head = struct.pack("<ffii", least, span, *array.shape)
    return token("CM") + head + marks.T.astype("<u2").tobytes() + np.array(steps, "u1").tobytes()
