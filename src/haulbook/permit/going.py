"""The check before going: go, go with limits, or no-go, each with its reasons.

The word never means that the day is safe: it says what the permits say. Source: A4.3 rules 15-18, A4.4.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from haulbook.permit.conditions import Sun
from haulbook.permit.headroom import headroom
from haulbook.permit.model import Permit
from haulbook.permit.period import INSTANT
from haulbook.permit.plan import Beforehand, Going, Reason, Word
from haulbook.permit.reasons import reasons_for
from haulbook.permit.take import Take
from haulbook.permit.words import moment_words


def before_going(take: Take, going: Going, now: datetime, sun: Sun | None = None) -> Beforehand:
    """Judge a plan against every permit it relies on.

    Parameters
    ----------
    take : Take
        The account so far, with the permits at hand.
    going : Going
        What is planned.
    now : datetime
        When the question is asked.
    sun : callable or None
        Sunrise and sunset; without it, hours that hang on the sun are for a person to check.
    """
    reasons = [*_relied_on(take, going)]
    for permit in take.permits:
        if permit.no in going.permits:
            reasons += reasons_for(take, going, permit, now, sun)
    order = {"no-go": 0, "limit": 1, "check": 2, "ok": 3}
    reasons.sort(key=lambda reason: order[reason.weight])
    hauls = {
        haul.number: _word([reason for reason in reasons if reason.haul in (None, haul.number)])
        for haul in going.hauls
    }
    relied = [permit for permit in take.permits if permit.no in going.permits]
    if len(relied) < len(take.permits):
        take = Take(take.account, relied, take.names, take.purposes)
    left = headroom(take, going.first_set, going.outing)
    return Beforehand(_overall(hauls), tuple(reasons), hauls, left)


def _overall(hauls: dict[int, Word]) -> Word:
    words = set(hauls.values())
    if words == {"GO"}:
        return "GO"
    return "NO-GO" if words == {"NO-GO"} else "GO WITH LIMITS"


def _word(reasons: list[Reason]) -> Word:
    weights = {reason.weight for reason in reasons}
    if "no-go" in weights:
        return "NO-GO"
    return "GO WITH LIMITS" if weights & {"limit", "check"} else "GO"


def _relied_on(take: Take, going: Going) -> Iterator[Reason]:
    """Check that each permit named is at hand, with those it needs beside it, and in force throughout."""
    at_hand = {permit.no: permit for permit in take.permits}
    if not going.permits:
        yield Reason("no-go", "the plan names no permit that it relies on")
    for no in going.permits:
        permit = at_hand.get(no)
        if permit is None:
            yield Reason("no-go", f"the plan relies on permit {no}, and there is no file of it", no)
            continue
        for other in permit.needs_also:
            if other not in going.permits:
                said = f"permit {no} holds only together with {other}, which the plan does not name"
                yield Reason("no-go", said, no)
        yield from _in_force(permit, going)


def _in_force(permit: Permit, going: Going) -> Iterator[Reason]:
    last_day = permit.valid_to - INSTANT
    held = f"from {moment_words(permit.valid_from)} to {moment_words(last_day)} local time"
    out = [
        haul
        for haul in going.hauls
        if not permit.in_force(haul.set_at)
        or not permit.in_force(haul.landed_at or going.ends or haul.set_at)
    ]
    for haul in out:
        said = f"permit {permit.no} holds {held}, not for the whole of haul {haul.number}"
        yield Reason("no-go", said, permit.no, haul=haul.number)
    if not out:
        yield Reason("ok", f"permit {permit.no} holds {held}, the whole outing", permit.no)
