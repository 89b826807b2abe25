"""What past hauls at a site and season held, read from the account."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulbook.custody.facts import Account, Haul
from haulbook.problems import Refusal, unknown


@dataclass(frozen=True, slots=True)
class Past:
    """Past hauls of a site and season.

    Attributes
    ----------
    hauls : int
    found : mapping of taxon to number of those hauls in which it was found
    """

    hauls: int
    found: Mapping[str, int]


def found_in(account: Account, site: str, month: int) -> Past:
    """Count in how many past hauls of a site each taxon was found, in a month and the two beside it.

    Every year counts. Hauls, not animals: a school is one find. Names still open are left out.

    Parameters
    ----------
    account : Account
    site : str
    month : int
        1 to 12.

    Raises
    ------
    Refusal
        No such month; the book has no haul at that site.
    """
    if not 1 <= month <= 12:
        raise Refusal(f"month {month} is none of 1 to 12")
    sites = {haul.site for haul in account.hauls if haul.site}
    if site not in sites:
        raise Refusal(
            unknown("site in this book", site, sites) if sites else "the book has no haul with a site"
        )
    season = {(month - 2) % 12 + 1, month, month % 12 + 1}
    hauls = {haul.key for haul in account.hauls if haul.site == site and _month(haul) in season}
    finds = {(each.haul, each.taxon) for each in account.animals} | set(account.present)
    found: dict[str, int] = {}
    for haul, taxon in sorted(finds):
        if haul in hauls and not taxon.startswith("?"):
            found[taxon] = found.get(taxon, 0) + 1
    return Past(len(hauls), found)


def _month(haul: Haul) -> int | None:
    when = haul.landed or haul.started
    return when.first_day.month if when and len(when.text) > 4 else None
