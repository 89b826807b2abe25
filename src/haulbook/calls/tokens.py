"""A call cut into runs of words: what stands between two marks of punctuation."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

_TYPED = (
    (re.compile("[’‘]"), "'"),
    (re.compile("[^\u0000-\u23ff\uff01-\uff5e]"), ""),
    (re.compile("([¼-¾⅐-⅞])"), r" \1 "),  # NFKD makes 1⁄2 of ½
    (re.compile("×"), "x"),
    (re.compile("[–—]"), " - "),
)
"""Signs that plain letters have no room for; scripts that spell no word here, and come apart by the system's age."""
_SPINES = ("two", "three", "four", "five", "six", "seven", "eight", "nine")
_PLAIN = tuple(
    (re.compile(pattern, re.ASCII), to)
    for pattern, to in (
        *(
            (rf"\b{i}(?:-?(?=spine)|\s(?=spined?\s+stickle))", f"{word} ")
            for i, word in enumerate(_SPINES, 2)
        ),
        (r"(\d),(?=\d{3}\b)", r"\1"),  # 1,200
        (r"(\d),(?=\d{1,2}\s*(?:mm|cm)\b)", r"\1."),  # 6,5 cm
        (r"(\d)\s+1/2\b", r"\1.5"),  # 6 1/2 inches
        (r"(\d)\s+1/4\b", r"\1.25"),
        (r"(\d)\s+3/4\b", r"\1.75"),
        (r"\b1/2\b", " half "),
        (r"(\d+)\s+-+\s+(?=\d)", r"\1 or "),  # 20 - 30
        (r"\s-+\s", " , "),
        (r"['`]", ""),
        (r"&", " and "),
        (r"\bx?(\d+)\+(?=[\s,;.]|$)", r"over \1"),  # 200+
        (r"\+", ","),
        (r"\b(\d+)\s*x\b|\bx\s*(\d+)\b", r" \1\2 "),  # 4x, x4
        (r"\bb\s?(\d{1,2})\b", r" bucket \1 "),
        (r"(\d\s*(?:mm|cm))\s*[tfs]l\b", r"\1"),  # total, fork, standard length
        (r"([a-z])(?=\d)", r"\1 "),  # bucket3
        (r"(\d)(?=[a-z])", r"\1 "),  # 45mm
        (r"(\d)-(?=\d)", r"\1 or "),
        (r"(\w)-(?=\w)", r"\1 "),
    )
)
"""Shorthand taken apart. No look behind, for which browsers of 2021 have no regular expression."""
_TOKENS = re.compile(r"\d+\.\d+|\d+|[a-z]+|[?~]|[,;:/.!()\n]", re.ASCII)
_STOPS = ",;:/.!()\n"
_SIGNS = {"?": "cf", "~": "about"}


@dataclass(frozen=True, slots=True)
class Run:
    """Words without punctuation between them.

    Attributes
    ----------
    words : tuple of str
        Lower case, without accents and apostrophes; numbers in digits are words of their own.
    stop : str
        The mark that ends it; empty at the end of the call.
    """

    words: tuple[str, ...]
    stop: str


def runs(text: str) -> tuple[Run, ...]:
    """Return the runs of a call in their order; shorthand (``x4``, ``b2``, ``45mm``) is taken apart."""
    found: list[Run] = []
    words: list[str] = []
    for word in _TOKENS.findall(_plain(text)):
        if word in _STOPS:
            if words:
                found.append(Run(tuple(words), word))
            elif found and word in ":;.!":
                found[-1] = Run(found[-1].words, word)
            words = []
        else:
            words.append(_SIGNS.get(word, word))
    if words:
        found.append(Run(tuple(words), ""))
    return tuple(found)


def _plain(text: str) -> str:
    for pattern, to in _TYPED:
        text = pattern.sub(to, text)
    text = unicodedata.normalize("NFKD", text).replace("⁄", "/").encode("ascii", "ignore").decode().lower()
    for pattern, to in _PLAIN:
        text = pattern.sub(to, text)
    return text
