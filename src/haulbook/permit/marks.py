"""Marks by which an animal caught again is known.

A mark is written as on the sheet. ``new fin-left`` says that it was given at this haul; ``fin-left`` says
that the animal already bore it. The wording is this project's own.
"""

from __future__ import annotations

from haulbook.custody.facts import Animals

_GIVEN = "new "


def given(animals: Animals) -> str | None:
    """Return the mark that these got at this haul, if any."""
    mark = (animals.mark or "").strip()
    return mark[len(_GIVEN) :].strip() or None if mark.casefold().startswith(_GIVEN) else None


def borne(animals: Animals) -> str | None:
    """Return the mark that these already bore when they were caught, if any."""
    mark = (animals.mark or "").strip()
    return None if not mark or mark.casefold().startswith(_GIVEN) else mark
