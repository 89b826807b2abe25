"""What the account page shows, as plain values: whoever fills them reads the book, this room only prints."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.estimate import Estimate
from haulbook.gear import Area, Condition

Weight = Literal["stop", "near", "note"]
"""``stop``: exceeded or prohibited. ``near``: worth a look before the next haul. ``note``: for the file."""


@dataclass(frozen=True, slots=True)
class BalanceLine:
    """One taxon (and stage) in the account.

    Attributes
    ----------
    name : str
        As people say it; as written where the name is open.
    out_of_sea : int
        Animals that the book moved out of the sea, escaped ones included.
    by_fate : mapping of Fate to int
        Where they are. ``unaccounted`` is not counted as accounted for: it is the difference.
    scientific : str or None
    name_open : bool
        The name is not in the pack yet, so it is printed as a quotation.
    unit : str
        ``individual``, ``egg_mass``, ``colony``, ``blade`` or ``gram``; units are never added together.
    by_haul : mapping of haul label to int or None
        0: searched and none. None: not looked for. A missing haul: nothing to say. Shown when few hauls.
    expanded, judged : int
        How many of ``out_of_sea`` come from a subsample, or from somebody's eye.
    remarks : tuple of str
        Later events and anything that hangs on this line.
    """

    name: str
    out_of_sea: int
    by_fate: Mapping[Fate, int]
    scientific: str | None = None
    name_open: bool = False
    unit: str = "individual"
    by_haul: Mapping[str, int | None] = field(default_factory=dict)
    expanded: int = 0
    judged: int = 0
    remarks: tuple[str, ...] = ()

    @property
    def accounted(self) -> int:
        """Animals that have a place or a fate."""
        return sum(n for fate, n in self.by_fate.items() if fate is not Fate.UNACCOUNTED)

    @property
    def difference(self) -> int:
        """Out of the sea less accounted for."""
        return self.out_of_sea - self.accounted


@dataclass(frozen=True, slots=True)
class HaulLine:
    """One haul as a row.

    Attributes
    ----------
    label : str
        One of its own on the page: the number called on the beach, or with the outing in front.
    outing : str
        What the rows are gathered under.
    animals : int
        Individuals out of the sea.
    landed : When or None
    site, set_type : str or None
    area : Area or None
        None where there is none; ``no_area`` then says why.
    condition : Condition
    for_density : bool
        Entered catch per area.
    remarks : tuple of str
    """

    label: str
    outing: str
    animals: int
    condition: Condition
    for_density: bool
    landed: When | None = None
    site: str | None = None
    set_type: str | None = None
    area: Area | None = None
    no_area: str | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FindingLine:
    """One thing that a clause has to say about the account.

    Attributes
    ----------
    headline : str
        The thing and the number: "1 more pipefish kept than clause 4b allows".
    quoted : str
        The clause in the permit's own words.
    permit, clause : str
    where : str or None
        Page or section of the permit.
    detail : str or None
        Hauls, numbers, worst case.
    do_now : str or None
    """

    weight: Weight
    headline: str
    permit: str
    clause: str
    quoted: str
    where: str | None = None
    detail: str | None = None
    do_now: str | None = None


@dataclass(frozen=True, slots=True)
class LimitLine:
    """What is left of one limit.

    Attributes
    ----------
    sentence : str
        "2 more may be kept until 31 March 2028 (4b)".
    animals, counted_as : str
        "northern pipefish"; "kept, a permit year".
    before, now : int
        Used before this account, used in it.
    limit : int or None
        None: allowed without a number.
    weight : Weight or None
        None while open.
    status : str
        One word: open, near, reached, exceeded, pending, closed.
    """

    permit: str
    clause: str
    sentence: str
    animals: str
    counted_as: str
    before: int
    now: int
    limit: int | None
    status: str = "open"
    weight: Weight | None = None


@dataclass(frozen=True, slots=True)
class EstimateLine:
    """Catch per area of one taxon over one group of hauls.

    Attributes
    ----------
    group : str
        Net, set type, light, tide: hauls are compared within it only.
    period : str
        Outing, season or site that parts the rows of one taxon.
    """

    taxon: str
    group: str
    period: str
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class ReportLine:
    """A permit report held against the book.

    Attributes
    ----------
    name : str
        Permit and layout.
    parts : tuple of (column heading, animals)
        The columns that together make up *captured*.
    captured : int
        From the book, not from the report.
    rows : int
        Rows of the report.
    file : str or None
    """

    name: str
    parts: tuple[tuple[str, int], ...]
    captured: int
    rows: int
    file: str | None = None

    @property
    def reported(self) -> int:
        """Animals in all parts."""
        return sum(n for _, n in self.parts)

    @property
    def difference(self) -> int:
        """Captured less reported."""
        return self.captured - self.reported


@dataclass(frozen=True, slots=True)
class OpenLine:
    """Something a person must still settle.

    Attributes
    ----------
    what : str
        What happened, with the number.
    kind : str
        One or two words: difference, name, question, double count.
    where : str or None
        Haul, or file and row.
    do_now : str or None
    quoted : str or None
        What was said or written, word for word.
    """

    what: str
    kind: str
    where: str | None = None
    do_now: str | None = None
    quoted: str | None = None


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where every number on the page comes from.

    Attributes
    ----------
    digest : str
        Of the entries this account covers.
    entries : int
    facts : tuple of (term, value)
        Files and their digests, pack and version, permits and versions, program version.
    """

    digest: str
    entries: int
    facts: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class AccountPage:
    """All that the account page prints.

    Attributes
    ----------
    title : str
        "Season 2027" or "Outing 2027-05-14-a".
    station, place, zone : str
        The station, where it seined, the zone of all times.
    made_at : datetime
        When this page was made; handed in, zone-aware.
    permits : tuple of str
        Permits it was checked against; empty: none was handed in.
    captured : int
        From the book.
    invented : bool
        Prints that the data are invented.
    """

    title: str
    station: str
    place: str
    zone: str
    made_at: datetime
    captured: int
    balance: tuple[BalanceLine, ...]
    hauls: tuple[HaulLine, ...]
    provenance: Provenance
    permits: tuple[str, ...] = ()
    findings: tuple[FindingLine, ...] = ()
    limits: tuple[LimitLine, ...] = ()
    estimates: tuple[EstimateLine, ...] = ()
    reports: tuple[ReportLine, ...] = ()
    open: tuple[OpenLine, ...] = ()
    invented: bool = False
