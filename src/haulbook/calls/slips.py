"""What it costs to take one spelling for a slip of another: a weighted edit distance.

Optimal string alignment (Damerau 1964, Levenshtein 1966: insert, drop, change, swap neighbours) with weights for
the slips that thumbs and ears make: a doubled letter is cheap, a neighbouring key and a like sound are cheaper
than any other letter, the first letter is seldom wrong. The weights are ours.
"""

from __future__ import annotations

DOUBLED, SWAPPED, LIKE, NEAR_KEY, DROPPED, ADDED, CHANGED = 0.5, 0.6, 0.6, 0.7, 0.8, 0.9, 1.1
FIRST_LETTER = 0.4
SOUNDS_ALIKE, SHORT = 0.6, 5
"""The share of its cost that a slip keeps between words that sound alike; not where one is short: those all do."""
_ROWS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
_LIKE = ("aeiouy", "ckqs", "szx", "fv", "mn", "dt", "bp", "gj", "wu")


def _neighbours() -> frozenset[tuple[str, str]]:
    at = {key: (row, column + row * 0.5) for row, keys in enumerate(_ROWS) for column, key in enumerate(keys)}
    return frozenset(
        (one, other)
        for one, (row, column) in at.items()
        for other, (row2, column2) in at.items()
        if one != other and abs(row - row2) <= 1 and abs(column - column2) <= 1.0
    )


_NEAR = _neighbours()
_ALIKE = frozenset((one, other) for group in _LIKE for one in group for other in group if one != other)


def _changed(said: str, meant: str) -> float:
    if (said, meant) in _ALIKE:
        return LIKE
    return NEAR_KEY if (said, meant) in _NEAR else CHANGED


def letters(word: str) -> int:
    """Return which letters a word has, as bits, for :func:`least_cost`."""
    bits = 0
    for letter in word:
        bits |= 1 << (ord(letter) - 97)
    return bits


def least_cost(bits: int, other: int) -> float:
    """Return what two words cost at the least that have these letters: a bound that needs no comparing."""
    extra, missing = (bits & ~other).bit_count(), (other & ~bits).bit_count()
    return LIKE * min(extra, missing) + DROPPED * abs(extra - missing)


def slip_cost(said: str, meant: str, most: float, *, alike: bool = False) -> float:
    """Return what it costs to read ``said`` as ``meant``; infinite above ``most``.

    Parameters
    ----------
    said, meant : str
        Lower-case letters.
    most : float
        Costs above it are of no use to the caller.
    alike : bool
        Whether the two sound alike (:func:`~haulbook.calls.sound.sound_key`) and neither is short.
    """
    first = FIRST_LETTER if said[:1] != meant[:1] else 0.0
    share = SOUNDS_ALIKE if alike else 1.0
    cost = _aligned(said, meant, (most - first) / share) * share + first
    return cost if cost <= most else float("inf")


def _aligned(said: str, meant: str, most: float) -> float:
    before: list[float] = []
    row = [0.0]
    for j, letter in enumerate(meant):
        row.append(row[-1] + (DOUBLED if j and letter == meant[j - 1] else DROPPED))
    for i, letter in enumerate(said):
        doubled = DOUBLED if i and letter == said[i - 1] else ADDED
        new = [row[0] + doubled]
        for j, wanted in enumerate(meant):
            dropped = DOUBLED if j and wanted == meant[j - 1] else DROPPED
            best = min(
                row[j] + (0.0 if letter == wanted else _changed(letter, wanted)),
                row[j + 1] + doubled,
                new[j] + dropped,
            )
            if i and j and letter == meant[j - 1] and said[i - 1] == wanted and letter != wanted:
                best = min(best, before[j - 1] + SWAPPED)
            new.append(best)
        if min(new) > most:
            return float("inf")
        before, row = row, new
    return row[-1]
