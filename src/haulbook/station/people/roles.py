"""Who may do what: four roles, and those without account."""

from __future__ import annotations

from enum import StrEnum


class Role(StrEnum):
    """What somebody is at the station."""

    LEAD = "lead"
    RECORDER = "recorder"
    KEEPER = "keeper"
    VIEWER = "viewer"


SIGNED_IN = frozenset(Role)
"""Everybody with an account."""
LEAD = frozenset({Role.LEAD})
TALLY = frozenset({Role.LEAD, Role.RECORDER})
"""Who writes what is called at the beach or stands on a sheet."""
KEEPING = frozenset({Role.LEAD, Role.KEEPER})
"""Who writes what happens in the holding room."""
CREW = frozenset({Role.LEAD, Role.RECORDER, Role.KEEPER})
"""Who writes at all."""
ANYONE: frozenset[Role] = frozenset()
"""Nobody is asked for an account: the public face, signing in, the phone page's own files."""
