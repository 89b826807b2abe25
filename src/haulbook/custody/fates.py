"""What became of an animal at the beach, and which permit bases that raises: one table.

Source: the project's own reference page on permits, A4.1, and ``docs/reference/book.md``; the bases follow
what permits of several agencies ask (see there).
"""

from __future__ import annotations

from enum import StrEnum


class Fate(StrEnum):
    """Where an animal was when its place left the beach."""

    SEEN_ESCAPED = "seen_escaped"
    RELEASED_IN_NET = "released_in_net"
    RELEASED_ALIVE = "released_alive"
    RETAINED_ALIVE = "retained_alive"
    RETAINED_DEAD = "retained_dead"
    KILLED_NOT_KEPT = "killed_not_kept"
    DIED_RELEASED = "died_released"
    DIED_RETAINED = "died_retained"
    FATE_UNKNOWN = "fate_unknown"
    UNACCOUNTED = "unaccounted"


class Basis(StrEnum):
    """What a permit clause counts."""

    ENCOUNTERED = "encountered"
    CAPTURED = "captured"
    HANDLED = "handled"
    RELEASED = "released"
    RETAINED = "retained"
    KILLED = "killed"
    DIED = "died"
    LETHAL = "lethal"
    SAMPLED = "sampled"


_E, _C, _H, _REL, _RET, _K, _D, _L = (
    Basis.ENCOUNTERED,
    Basis.CAPTURED,
    Basis.HANDLED,
    Basis.RELEASED,
    Basis.RETAINED,
    Basis.KILLED,
    Basis.DIED,
    Basis.LETHAL,
)

BASES: dict[Fate, frozenset[Basis]] = {
    Fate.SEEN_ESCAPED: frozenset({_E}),
    Fate.RELEASED_IN_NET: frozenset({_E, _C, _REL}),
    Fate.RELEASED_ALIVE: frozenset({_E, _C, _H, _REL}),
    Fate.RETAINED_ALIVE: frozenset({_E, _C, _H, _RET}),
    Fate.RETAINED_DEAD: frozenset({_E, _C, _H, _RET, _K, _L}),
    Fate.KILLED_NOT_KEPT: frozenset({_E, _C, _H, _K, _L}),
    Fate.DIED_RELEASED: frozenset({_E, _C, _H, _D, _L}),
    Fate.DIED_RETAINED: frozenset({_E, _C, _H, _RET, _D, _L}),
    # Lost animals may have died: the clause engine adds them to `died` and `lethal` in the worst case only.
    Fate.FATE_UNKNOWN: frozenset({_E, _C, _H}),
    # Still in the net: captured, not handled. Held in a bucket: handled. See Animals.handled.
    Fate.UNACCOUNTED: frozenset({_E, _C}),
}
"""Bases that one animal of a fate raises by 1. Later events (died, killed, sampled) add to theirs apart."""

REPORT_COLUMN: dict[Fate, str] = {
    Fate.SEEN_ESCAPED: "n_encountered",
    Fate.RELEASED_IN_NET: "n_released_in_net",
    Fate.RELEASED_ALIVE: "n_released_alive",
    Fate.RETAINED_ALIVE: "n_retained_alive",
    Fate.RETAINED_DEAD: "n_retained_dead",
    Fate.KILLED_NOT_KEPT: "n_killed_not_kept",
    Fate.DIED_RELEASED: "n_died_released",
    Fate.DIED_RETAINED: "n_died_retained",
    Fate.FATE_UNKNOWN: "n_unaccounted",
    Fate.UNACCOUNTED: "n_unaccounted",
}
"""The column of the report model in which animals of a fate stand."""
