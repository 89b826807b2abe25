"""Whether a word is tally shorthand for another: its beginning, or what is left when letters are left out."""

from __future__ import annotations

_VOWELS = "aeiouy"
CUT = (9.9, 9.9, 0.9, 0.6, 0.35, 0.2)
"""For the beginning of a word, by its letters; the last one for all longer ones."""
SKELETON, PER_CONSONANT = 0.7, 0.15
MOST_LEFT_OUT = 1
_SHORT, _LONGEST_OF_SHORT = 3, 6
"""Three letters stand for words of six at most."""


def shorthand_cost(said: str, meant: str) -> float:
    """Return what it costs to read ``said`` as short for ``meant``; infinite where it is not.

    The beginning of a word (``sculp``), or its letters in their order with others left out (``frstfsh``): the first
    letter stays, and at most one consonant is missing in between and one at the end. Common practice on tally
    sheets, no source; the weights are ours.
    """
    if len(said) < 2 or len(said) >= len(meant) or said[0] != meant[0]:
        return float("inf")
    if meant.startswith(said):
        return CUT[min(len(said), len(CUT) - 1)]
    if len(said) < _SHORT or (len(said) == _SHORT and len(meant) > _LONGEST_OF_SHORT):
        return float("inf")
    at, left_out = 0, 0
    for letter in said:
        found = meant.find(letter, at)
        if found < 0:
            return float("inf")
        left_out += sum(one not in _VOWELS for one in meant[at:found])
        at = found + 1
    left_off = sum(one not in _VOWELS for one in meant[at:])
    if max(left_out, left_off) > MOST_LEFT_OUT:
        return float("inf")
    return SKELETON + PER_CONSONANT * (left_out + left_off)
