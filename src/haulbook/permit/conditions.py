"""Conditions on one set of the net: gear, place, hours. The same check before going and for the report.

What cannot be judged from what is known is said so, for a person to check; it is never taken as kept.
Source: A4.2 (fields), A4.3 rules 15 and 18.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from haulbook.gear import Net
from haulbook.permit.detail import AreaRule, ClockTime, Corner, GearRule, Ground, HoursRule
from haulbook.permit.measure import exact, plain
from haulbook.permit.model import Clause, Permit

Sun = Callable[[date, Corner | None], tuple[datetime, datetime] | None]
"""Sunrise and sunset of a local day at a position; None where the sun does not rise or set."""

Verdict = Literal["kept", "broken", "unknown"]


@dataclass(frozen=True, slots=True)
class OneSet:
    """One set of the net, planned or made.

    ``label`` names it in words; times are None where nobody noted or planned them.
    """

    label: str
    set_at: datetime | None
    landed_at: datetime | None
    site: str | None = None
    position: Corner | None = None
    net: Net | None = None
    net_type: str | None = None


@dataclass(frozen=True, slots=True)
class Check:
    """What one condition says to one set."""

    verdict: Verdict
    message: str


def check_set(permit: Permit, clause: Clause, one: OneSet, sun: Sun | None = None) -> list[Check]:
    """Judge one set against a gear, area or hours clause; any other kind says nothing."""
    match clause.detail:
        case GearRule() as rule:
            return list(_gear(rule, one))
        case AreaRule() as rule:
            return list(_area(rule, one))
        case HoursRule() as rule:
            return [_hours(rule, permit, one, sun)]
    return []


def check_number(permit: Permit, clause: Clause, sets: Sequence[OneSet]) -> list[tuple[OneSet, Check]]:
    """Judge how many sets were made: each counts from the moment the net is in the water, failed ones too.

    ``sets`` are those of one outing in order; with ``per = "day"`` they are counted by local day.
    """
    rule = clause.detail
    if not isinstance(rule, GearRule) or rule.hauls_max is None:
        return []
    made: dict[date | None, int] = {}
    answers = []
    for one in sets:
        began = one.set_at or one.landed_at
        day = began.astimezone(permit.tz).date() if began and rule.per == "day" else None
        made[day] = made.get(day, 0) + 1
        too_many = made[day] > rule.hauls_max
        words = f"set {made[day]} of at most {rule.hauls_max} per {rule.per}"
        answers.append((one, Check("broken" if too_many else "kept", words)))
    return answers


def _gear(rule: GearRule, one: OneSet) -> Iterator[Check]:
    net = one.net
    if rule.types:
        yield _listed("net type", one.net_type, rule.types)
    bars = (
        ("net length", rule.length_max_m, None, net.length_m if net else None, "m"),
        ("net height", rule.height_max_m, None, net.height_m if net else None, "m"),
        ("mesh", rule.mesh_max_mm, rule.mesh_min_mm, _mesh(rule, net) if net else None, "mm"),
    )
    for what, most, least, value, unit in bars:
        if most is None and least is None:
            continue
        if value is None:
            yield Check("unknown", f"{what}: nobody said which net")
            continue
        size = exact(value)
        good = (most is None or size <= most) and (least is None or size >= least)
        bounds = [
            f"at most {plain(most)}" if most is not None else "",
            f"at least {plain(least)}" if least is not None else "",
        ]
        asked = " and ".join(bound for bound in bounds if bound)
        yield Check("kept" if good else "broken", f"{what} {plain(size)} {unit}, permitted {asked} {unit}")
    if rule.mesh_as is None and (rule.mesh_max_mm is not None or rule.mesh_min_mm is not None):
        yield Check("unknown", "the clause does not say stretched or bar mesh: read it again")


def _mesh(rule: GearRule, net: Net) -> float:
    """Return the net's mesh as the clause measures it: stretched mesh is two bars."""
    if rule.mesh_as in (None, net.mesh_as):
        return net.mesh_mm
    return net.mesh_mm * 2 if rule.mesh_as == "stretch" else net.mesh_mm / 2


def _area(rule: AreaRule, one: OneSet) -> Iterator[Check]:
    for ground, wanted in ((rule.inside, True), (rule.outside, False)):
        if ground is None:
            continue
        lies = _lies_in(ground, one)
        where = "inside" if wanted else "outside"
        if lies is None:
            yield Check("unknown", f"it is not known whether the set lies {where} the area")
        else:
            yield Check(
                "kept" if lies is wanted else "broken",
                f"set lies {'in' if lies else 'out'}side; it has to lie {where}",
            )


def _lies_in(ground: Ground, one: OneSet) -> bool | None:
    if one.site is not None and one.site in ground.sites:
        return True
    if ground.corners:
        return _in_polygon(one.position, ground.corners) if one.position else None
    return None if one.site is None else False


def _in_polygon(point: Corner, corners: tuple[Corner, ...]) -> bool:
    """Even-odd rule on latitude and longitude: enough for a stretch of shore away from the date line."""
    lat, lon = point
    inside = False
    for (lat_a, lon_a), (lat_b, lon_b) in zip(corners, corners[1:] + corners[:1], strict=True):
        if (lat_a > lat) != (lat_b > lat) and lon < lon_a + (lat - lat_a) * (lon_b - lon_a) / (lat_b - lat_a):
            inside = not inside
    return inside


def _hours(rule: HoursRule, permit: Permit, one: OneSet, sun: Sun | None) -> Check:
    """Judge the whole haul, net in the water to net on the beach, ends included."""
    asked = f"permitted from {rule.start} to {rule.end}"
    known = [at for at in (one.set_at, one.landed_at) if at]
    if not known:
        return Check("unknown", f"neither set nor landing has a clock time; {asked}")
    day = known[0].astimezone(permit.tz).date()
    days = (day - timedelta(days=1), day)
    windows = [window for on in days if (window := _window(rule, permit, on, one.position, sun))]
    if not windows:
        return Check("unknown", f"sunrise and sunset are not known for that day; {asked}")
    if not any(all(begins <= at <= ends for at in known) for begins, ends in windows):
        local = " to ".join(f"{at.astimezone(permit.tz):%H:%M}" for at in known)
        return Check("broken", f"{local}; {asked}")
    if len(known) == 1:
        return Check("unknown", f"set or landing has no clock time; {asked}")
    return Check("kept", asked)


def _window(
    rule: HoursRule, permit: Permit, day: date, position: Corner | None, sun: Sun | None
) -> tuple[datetime, datetime] | None:
    start = _at(rule.start, permit, day, position, sun)
    end = _at(rule.end, permit, day, position, sun)
    if start is not None and end is not None and end <= start:
        end = _at(rule.end, permit, day + timedelta(days=1), position, sun)
    return (start, end) if start is not None and end is not None else None


def _at(
    when: ClockTime, permit: Permit, day: date, position: Corner | None, sun: Sun | None
) -> datetime | None:
    if when.clock is not None:
        return datetime.combine(day, when.clock, permit.tz)
    times = sun(day, position) if sun else None
    if times is None:
        return None
    return times[0 if when.sun == "sunrise" else 1] + when.offset


def _listed(what: str, value: str | None, wanted: Sequence[str]) -> Check:
    asked = f"permitted are {', '.join(wanted)}"
    if value is None:
        return Check("unknown", f"{what}: nobody said; {asked}")
    return Check("kept" if value in wanted else "broken", f"{what} {value}; {asked}")
