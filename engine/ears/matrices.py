"""Reading Kaldi's binary files: tokens, numbers, vectors and matrices, packed or plain.

Layouts after Kaldi's own sources: base/io-funcs, matrix/kaldi-matrix, matrix/compressed-matrix.
"""

import struct
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

BYTE_KNOTS = (0, 64, 192, 255)
"""Where the three straight pieces of a column's scale meet, in a matrix of a byte an element."""


class Reader:
    """Goes through the bytes of a file."""

    def __init__(self, data: bytes, place: int = 0) -> None:
        self.data = data
        self.place = place

    def _take(self, layout: str) -> tuple[int | float, ...]:
        values = struct.unpack_from(layout, self.data, self.place)
        self.place += struct.calcsize(layout)
        return values

    def seek(self, text: str) -> None:
        """Goes on to just behind the next such token. Raises ValueError when there is none."""
        sought = text.encode("ascii") + b" "
        self.place = self.data.index(sought, self.place) + len(sought)

    def token(self) -> str:
        """The token here."""
        end = self.data.index(b" ", self.place)
        text = self.data[self.place : end].decode("ascii")
        self.place = end + 1
        return text

    def int32(self) -> int:
        """The sized integer here."""
        return int(self._take("<bi")[1])

    def int_vector(self) -> NDArray[np.int32]:
        """The vector of integers here."""
        count = int(self._take("<bi")[1])
        values = np.frombuffer(self.data, "<i4", count, self.place)
        self.place += 4 * count
        return values

    def vector(self) -> NDArray[np.float32]:
        """The vector of floats here."""
        if self.token() != "FV":
            raise ValueError("no vector here")
        count = self.int32()
        values = np.frombuffer(self.data, "<f4", count, self.place)
        self.place += 4 * count
        return values

    def matrix(self) -> NDArray[np.float32]:
        """The matrix here, packed or plain."""
        kind = self.token()
        if kind == "FM":
            rows, columns = self.int32(), self.int32()
            values = np.frombuffer(self.data, "<f4", rows * columns, self.place)
            self.place += 4 * rows * columns
            return values.reshape(rows, columns)
        if kind == "CM2":
            least, span = self._take("<ff")
            height, width = (int(size) for size in self._take("<ii"))
            count = height * width
            steps = np.frombuffer(self.data, "<u2", count, self.place)
            self.place += 2 * count
            unpacked = np.float32(least) + steps * np.float32(span / 65535)
            return unpacked.astype(np.float32).reshape(height, width)
        if kind == "CM":
            least, span = self._take("<ff")
            height, width = (int(size) for size in self._take("<ii"))
            marks = np.frombuffer(self.data, "<u2", 4 * width, self.place).reshape(width, 4)
            self.place += 8 * width
            stored = np.frombuffer(self.data, "u1", height * width, self.place)
            self.place += height * width
            scales = np.float32(least) + marks * np.float32(span / 65535)
            # what each byte stands for, column by column; one byte after the other is looked up
            parts = [np.linspace(0, 1, b - a, endpoint=False) for a, b in pairwise(BYTE_KNOTS)]
            pieces = [
                scales[:, k, None] + (scales[:, k + 1] - scales[:, k])[:, None] * part
                for k, part in enumerate(parts)
            ]
            means = np.concatenate([*pieces, scales[:, 3:]], 1).astype(np.float32)
            stored = stored.reshape(width, height)
            return np.take_along_axis(means, stored.astype(np.intp), 1).T
        raise ValueError(f"{kind} is no matrix that is read here")
