"""Sums and joins over coded columns: whole numbers that stand for texts, never a loop over rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Codes = NDArray[np.int32]
_DENSE = 20_000_000  # combinations up to which a look-up table is faster than sorting


@dataclass(frozen=True, slots=True, eq=False)
class Coded:
    """Texts, and for each row the number of the one that stands there."""

    values: tuple[str, ...]
    codes: Codes

    def __len__(self) -> int:
        return len(self.codes)

    def __getitem__(self, i: int) -> str:
        return self.values[int(self.codes[i])]

    def __iter__(self) -> Iterator[str]:
        return (self.values[code] for code in self.codes.tolist())


def combine(parts: Sequence[Codes], sizes: Sequence[int]) -> tuple[NDArray[np.int64], Codes]:
    """Return which combinations of codes occur.

    Parameters
    ----------
    parts : sequence of int32 arrays of equal length
    sizes : sequence of int
        One more than the highest code of each part.

    Returns
    -------
    first : int64 array
        For each combination the first row that has it; combinations are in the order of their first row.
    codes : int32 array, one a row
        Which combination the row has.
    """
    if len(parts) == 1 and not len(parts[0]):
        return np.zeros(0, np.int64), np.zeros(0, np.int32)
    key, size = parts[0].astype(np.int64), max(sizes[0], 1)
    for part, more in zip(parts[1:], sizes[1:], strict=True):
        if size * max(more, 1) > 2**62:
            _, key = np.unique(key, return_inverse=True)
            size = len(key)
        key, size = key * more + part, size * max(more, 1)
    if size <= _DENSE:
        first_of = np.full(size, -1, np.int64)
        first_of[key[::-1]] = np.arange(len(key) - 1, -1, -1)
        first = np.sort(first_of[first_of >= 0])
        rank = np.zeros(size, np.int32)
        rank[key[first]] = np.arange(len(first), dtype=np.int32)
        return first, rank[key]
    _, first, inverse = np.unique(key, return_index=True, return_inverse=True)
    order = np.argsort(first, kind="stable")
    rank = np.empty(len(first), np.int32)
    rank[order] = np.arange(len(first), dtype=np.int32)
    return first[order], rank[inverse.reshape(-1)]


def joined(columns: Sequence[Coded], mark: str = "/") -> Coded:
    """Return one coded column whose texts are the columns' texts with ``mark`` between them."""
    first, codes = combine([c.codes for c in columns], [len(c.values) for c in columns])
    picked = [[column.values[code] for code in column.codes[first].tolist()] for column in columns]
    texts = [mark.join(parts) for parts in zip(*picked, strict=True)]
    return merged(texts, codes)


def merged(texts: Sequence[str], codes: Codes) -> Coded:
    """Return a coded column in which equal texts have one code, though ``codes`` gave them several."""
    found: dict[str, int] = {}
    new = np.array([found.setdefault(text, len(found)) for text in texts], np.int32)
    if len(found) == len(texts):
        return Coded(tuple(texts), codes)
    return Coded(tuple(found), new[codes])
