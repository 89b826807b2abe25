"""A call cut into runs of words: what stands between two marks of punctuation."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

_BEFORE = (
    (re.compile(r"(?<=\d),(?=\d{3}\b)"), ""),  # 1,200
    (re.compile(r"['`]"), ""),
    (re.compile(r"&"), " and "),
    (re.compile(r"\+"), ","),
    (re.compile(r"\b(\d+)\s*x\b|\bx\s*(\d+)\b"), r" \1\2 "),  # 4x, x4
    (re.compile(r"\bb\s?(\d{1,2})\b"), r" bucket \1 "),
    (re.compile(r"(\d\s*(?:mm|cm))\s*[tfs]l\b"), r"\1"),  # total, fork, standard length
    (re.compile(r"(?<=[a-z])(?=\d)|(?<=\d)(?=[a-z])"), " "),  # 45mm, bucket3
    (re.compile(r"(?<=\d)-(?=\d)"), " or "),
    (re.compile(r"(?<=\w)-(?=\w)"), " "),
)
_TOKENS = re.compile(r"\d+\.\d+|\d+|[a-z]+|[?~]|[,;:/.!()\n]")
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
    plain = re.sub(r"\s-+\s|[–—]", " , ", text.replace("’", "'"))
    plain = unicodedata.normalize("NFKD", plain).encode("ascii", "ignore").decode().casefold()
    for pattern, to in _BEFORE:
        plain = pattern.sub(to, plain)
    found: list[Run] = []
    words: list[str] = []
    for word in _TOKENS.findall(plain):
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
