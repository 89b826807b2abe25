"""How a word sounds, as a key: words that are told apart by spelling alone share it.

In the manner of Metaphone (L. Philips, "Hanging on the Metaphone", Computer Language 7 (12), 1990; rules from
memory), cut down to what hearing mixes up in names of animals: vowels fall away except in front, and the
letters that stand for one sound become one letter. The table is ours.
"""

from __future__ import annotations

import re

_RULES = tuple(
    (re.compile(pattern), to)
    for pattern, to in (
        (r"^(?:kn|gn|pn)", "n"), (r"^wr", "r"), (r"^wh", "w"), (r"^x", "s"),
        (r"tch|[cs]h|[ct]i(?=[ao])", "j"), (r"dg(?=[eiy])", "j"), (r"ph", "f"), (r"gh", ""), (r"ck|q(?:u)?", "k"),
        (r"c(?=[eiy])", "s"), (r"c", "k"), (r"x", "ks"), (r"z", "s"), (r"th", "t"), (r"mb$", "m"),
        (r"v", "f"), (r"d", "t"), (r"b", "p"), (r"g(?=[eiy])", "j"), (r"g", "k"),
        (r"(?<=.)[aeiouywh]", ""), (r"^[aeiouy]", "a"), (r"(.)\1+", r"\1"),
    )
)  # fmt: skip
"""Pattern and what it becomes, one after the other; voiced and voiceless pairs become one (d = t, b = p, g = k)."""


LEAST_SOUNDS = 3
"""Shorter keys are shared by too many words to say anything."""


def sound_key(word: str) -> str:
    """Return the key of a lower-case word; empty where it is too short to tell words apart."""
    for pattern, to in _RULES:
        word = pattern.sub(to, word)
    return word if len(word) >= LEAST_SOUNDS else ""
