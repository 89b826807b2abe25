"""Names of entries: UUIDs that sort by time (version 7) or follow from what was read (version 8).

Source: RFC 9562, sections 5.7 and 5.8; the checks in the tests are its appendices A.6 and B.2.
"""

from __future__ import annotations

import hashlib
import re
import uuid
from datetime import UTC, datetime

from haulbook.problems import Refusal

_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def is_id(text: str) -> bool:
    """Say whether ``text`` is a UUID of RFC 9562 in lower case."""
    return _UUID.fullmatch(text) is not None


def uuid7(when: datetime, chance: bytes) -> str:
    """Return the UUIDv7 of an instant.

    Parameters
    ----------
    when : datetime
        With its zone. Milliseconds since 1970 fill the first 48 bits.
    chance : bytes
        At least 10 random bytes, handed in; 74 of their bits are used.

    Raises
    ------
    Refusal
        Where the instant has no zone or lies before 1970, or fewer bytes were given.
    """
    if when.tzinfo is None:
        raise Refusal("an identifier needs an instant with its zone")
    if len(chance) < 10:
        raise Refusal(f"an identifier needs 10 random bytes; {len(chance)} were given")
    since = when - _EPOCH
    milliseconds = (since.days * 86_400 + since.seconds) * 1000 + since.microseconds // 1000
    if not 0 <= milliseconds < 1 << 48:
        raise Refusal(
            f"an identifier starts with the milliseconds since 1970, which {when.isoformat()} does not have"
        )
    return _stamp(milliseconds.to_bytes(6, "big") + chance[:10], 7)


def uuid8(material: bytes) -> str:
    """Return the UUIDv8 that follows from ``material``: the first 128 bits of its SHA-256, stamped.

    The same material gives the same identifier, so a file read twice gives the same entries.
    """
    return _stamp(hashlib.sha256(material).digest()[:16], 8)


def _stamp(raw: bytes, version: int) -> str:
    octets = bytearray(raw)
    octets[6] = octets[6] & 0x0F | version << 4
    octets[8] = octets[8] & 0x3F | 0x80
    return str(uuid.UUID(bytes=bytes(octets)))
