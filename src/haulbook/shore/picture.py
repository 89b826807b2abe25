"""A photo of an animal on its way in: what a station looks at before it keeps one.

``docs/reference/sync.md`` describes the route. A picture comes apart from the line that names it, and after it.
"""

from __future__ import annotations

import re
from hashlib import sha256
from typing import Literal

from haulbook.problems import Refusal
from haulbook.shore.sync import Said

MOST_BYTES = 3_000_000
"""Bytes of a picture; the page makes them 1600 pixels on the longer side, some hundred kB."""

MEDIA_TYPE = "image/jpeg"

_STARTS_WITH = b"\xff\xd8\xff"  # start of image and the first byte of the next marker: ITU-T T.81, annex B
_SHA256 = re.compile(r"[0-9a-f]{64}")


class PictureAnswer(Said):
    """What became of a picture: kept now, or kept before. The phone lets go of its bytes then."""

    sha256: str
    answer: Literal["stored", "duplicate"]


class TooLarge(Refusal):
    """A picture of more bytes than a station keeps."""


class Unnamed(Refusal):
    """A picture that no line of the book names yet."""


def look_at_size(n: int) -> None:
    """Refuse a picture of too many bytes.

    Raises
    ------
    TooLarge
        More than ``MOST_BYTES``.
    """
    if n > MOST_BYTES:
        raise TooLarge(
            f"the picture has {n:,} bytes; at most {MOST_BYTES:,} are kept: it stays on the phone, "
            "take it again smaller"
        )


def look_at_name(digest: str, *, named: bool) -> None:
    """Refuse a picture by what it is called, before its bytes are looked at.

    Parameters
    ----------
    digest : str
        SHA-256 that it came under.
    named : bool
        Whether a line of the book names it: a station keeps nothing that nobody could find.

    Raises
    ------
    Refusal
        The name is no SHA-256.
    Unnamed
        No line names it.
    """
    if not _SHA256.fullmatch(digest):
        raise Refusal("a picture comes under its SHA-256: 64 digits 0 to f")
    if not named:
        raise Unnamed(
            "no line of the book names this picture yet: send the line first, then the picture again"
        )


def look_at_bytes(content: bytes, digest: str) -> None:
    """Refuse bytes that are not the picture of that name.

    Raises
    ------
    TooLarge
        More than ``MOST_BYTES``.
    Refusal
        No JPEG, or other bytes than those whose SHA-256 it came under.
    """
    look_at_size(len(content))
    if not content.startswith(_STARTS_WITH):
        raise Refusal("this is no JPEG; the page sends pictures as JPEG")
    if sha256(content).hexdigest() != digest:
        raise Refusal(
            "these are not the bytes that the line names: something changed them on the way; send it again"
        )
