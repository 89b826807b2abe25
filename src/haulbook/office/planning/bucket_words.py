"""Buckets in words: what is needed, what that stands on, and where a plan has too few."""

from __future__ import annotations

from haulbook.care.planning import LABEL
from haulbook.office.planning.buckets import Buckets
from haulbook.permit.plan import Reason


def bucket_reasons(needed: Buckets) -> tuple[Reason, ...]:
    """Return a limit where the plan's keep buckets bear less than is likely kept."""
    if needed.suffices is not False:
        return ()
    return (
        Reason(
            "limit",
            f"{needed.keep} keep buckets of {needed.litres:g} L bear what {needed.hauls} hauls are likely to have "
            f"kept for {needed.carry_min:g} min, the plan has {needed.have}: keep fewer, or take air or buckets",
        ),
    )


def words_of(needed: Buckets) -> tuple[str, ...]:
    """Return in sentences what is needed and what that stands on."""
    air = f"air {needed.air_per_h:g} per hour" if needed.air_per_h else "no air"
    at = f"{needed.litres:g} L, {air}, {needed.temperature_c:.0f} °C, salinity {needed.salinity:.0f}"
    said = [_to_keep_in(needed, at)]
    if needed.keep > 1:
        said.append(
            "Crabs travel best on damp eelgrass, out of the water, and need no bucket then (common practice)."
        )
    said.append(
        "1 to sort in and 1 of clear water, filled before the net stirs up the bottom (Bamfield beach-seine SOP)."
    )
    if needed.full_haul and needed.sorting_holds is not None and needed.sorting_holds < needed.full_haul:
        said.append(
            f"A full haul brought {needed.full_haul} animals; one bucket bears about "
            f"{_two_figures(needed.sorting_holds)} of them for {needed.sorting_min:g} min: sort from the net, in "
            "the water, and let go first."
        )
    if not needed.readings:
        said.append(f"No past haul has a reading: temperature and salinity are a {LABEL}.")
    return tuple(said)


def _to_keep_in(needed: Buckets, at: str) -> str:
    if not needed.past:
        return f"No comparable haul is in the book: 1 bucket to keep in ({at}) is a {LABEL}."
    worst = f", {needed.keep_at_worst} at worst" if needed.keep_at_worst > needed.keep else ""
    if needed.keep_with_air < needed.keep:
        worst += f", {needed.keep_with_air} with a weak pump in each"
    return (
        f"{needed.keep} to keep in{worst}: in nine of ten outings drawn from {needed.past} past hauls, "
        f"{needed.hauls} hauls had at most {needed.kept_most} animals kept ({at}, carried {needed.carry_min:g} min "
        f"above 80 % of saturation, {LABEL})."
    )


def _two_figures(n: int) -> str:
    return f"{float(f'{n:.2g}'):.0f}"
