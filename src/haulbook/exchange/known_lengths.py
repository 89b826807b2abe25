"""How long a taxon is known to grow, for a name as written: what is longer is told."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from haulbook.exchange.code_list import CodeList


def longest_known(pack_key: str, codes: CodeList) -> Callable[[str], float | None]:
    """Return a function from a name as written to the greatest length in mm that the pack knows of it.

    None where the name is not certain, or the pack has no length. A group's length is that of the group's own
    row in the pack.
    """
    from haulbook.taxa import load_pack
    from haulbook.taxa.names import resolve

    pack = load_pack(pack_key)

    @cache
    def longest(written: str) -> float | None:
        for name in codes.names_of(written):
            match = resolve(name, pack)
            if match.certain and match.taxon is not None:
                return pack[match.taxon].max_length_mm
        return None

    return longest
