"""What the book says, as plain facts that permits, reports and estimates read.

These are the only shapes in which the rooms above custody meet it: hauls, and animals about which the same
things are known. ``custody.ledger`` makes them from a book.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from haulbook.custody.fates import BASES, Basis, Fate
from haulbook.custody.when import When


@dataclass(frozen=True, slots=True)
class Measure:
    """A length in metres and whether somebody measured it there or it was assumed."""

    m: float
    basis: Literal["measured", "assumed"]


@dataclass(frozen=True, slots=True)
class Haul:
    """One set of the net.

    Attributes
    ----------
    key : str
        ``outing/number``, as ``2027-05-14-a/1``.
    outing : str
    label : str or None
        Key of an old sheet, as written there.
    site, net, set_type : str or None
        Keys of the station file; None where nobody said.
    started, landed, ended : When or None
        Net in the water; net on the beach (the permit's clock); last animal dealt with.
    condition : int or None
        1 2 3 4 5 9; None where nobody said (counts as 9 for density).
    why : str or None
        What happened to the haul, in words.
    measures : mapping of str to Measure
        Keys among ``w d c b D L`` (see gear), metres.
    depth_m : float or None
    area_m2 : float or None
        Given area (set type ``given``, or a sheet's own area column).
    lat, lon : float or None
        Decimal degrees north and east, EPSG:4326; western longitudes are negative.
    remarks : tuple of str
    """

    key: str
    outing: str
    label: str | None = None
    site: str | None = None
    net: str | None = None
    set_type: str | None = None
    started: When | None = None
    landed: When | None = None
    ended: When | None = None
    condition: int | None = None
    why: str | None = None
    measures: Mapping[str, Measure] = field(default_factory=dict)
    depth_m: float | None = None
    area_m2: float | None = None
    remarks: tuple[str, ...] = ()
    lat: float | None = None
    lon: float | None = None


@dataclass(frozen=True, slots=True)
class Subsample:
    """The scoops that an expanded number stands on.

    Attributes
    ----------
    method : {"scoops"}
    of : int
        All scoops of the catch.
    counted : tuple of int
        Animals in each scoop that was counted.
    batch : str or None
        The same for taxa that lay in the same scoops.
    entry : str
        Id of the entry that said so: lots of one line share it.
    """

    method: str
    of: int
    counted: tuple[int, ...]
    batch: str | None
    entry: str


@dataclass(frozen=True, slots=True)
class Later:
    """Something that happened to animals after their fate at the beach was settled.

    ``kind``: died (found dead later), killed, given (transferred), back (released after captivity), lost
    (missing from a tank: presumed dead).
    """

    kind: Literal["died", "killed", "given", "back", "lost"]
    at: When
    entry: str


@dataclass(frozen=True, slots=True)
class Animals:
    """n animals of one haul about which the same things are known.

    Attributes
    ----------
    haul, taxon : str
        ``taxon`` is a pack key, or ``?name as written`` while open.
    stage : {"larva", "young", "adult", "egg mass"} or None
    unit : {"individual", "egg_mass", "colony", "blade", "gram"}
    n : int
        At least 1.
    fate : Fate
        At the cut-off, or as it would be if every place left the beach now.
    place : str
        Where they are now (a sink's name when they have left the station's hands).
    basis : {"counted", "expanded", "judged"}
    sex, origin, mark, length_mm, length_type, said : None where nobody said.
    doubt : {"name", "count"} or None
    haul_assumed : bool
        The haul was taken to be the last landed because nobody could tell.
    called : When
        When they came out of the sea.
    fated : When or None
        When the cut-off fell; None while they are still at the beach.
    later : tuple of Later
        Events after the cut-off, oldest first. At most the last can be final.
    entries : tuple of str
        Ids of the entries that say all this, oldest first.
    subsample : Subsample or None
        Where ``basis`` is expanded: the scoops of the whole line, of which these may be a part.
    """

    haul: str
    taxon: str
    n: int
    fate: Fate
    place: str
    called: When
    stage: str | None = None
    unit: str = "individual"
    basis: Literal["counted", "expanded", "judged"] = "counted"
    sex: str | None = None
    origin: str | None = None
    mark: str | None = None
    berried: bool | None = None
    length_mm: float | None = None
    length_type: str | None = None
    said: str | None = None
    doubt: str | None = None
    cause: str | None = None
    haul_assumed: bool = False
    fated: When | None = None
    later: tuple[Later, ...] = ()
    entries: tuple[str, ...] = ()
    subsample: Subsample | None = None

    @property
    def bases(self) -> frozenset[Basis]:
        """Bases that each of these raises by 1, by fate alone (later events apart)."""
        bases = BASES[self.fate]
        if self.fate is Fate.UNACCOUNTED and self.place != "net":
            return bases | {Basis.HANDLED}
        return bases


@dataclass(frozen=True, slots=True)
class Short:
    """More was taken out of a place than had been in it: ``n`` animals of an account never arrived there."""

    outing: str | None
    place: str
    haul: str
    taxon: str
    stage: str | None
    unit: str
    n: int


@dataclass(frozen=True, slots=True)
class Lengths:
    """Lengths that were taken of animals of one haul, taxon and stage.

    ``mm`` in millimetres, ``g`` the weight of each in grams where they were weighed; the rest is true of all.
    """

    haul: str
    taxon: str
    length_type: str
    mm: tuple[float, ...]
    entry: str
    stage: str | None = None
    g: tuple[float, ...] = ()
    sex: str | None = None
    clipped: bool | None = None
    tissue: bool | None = None
    voucher_no: str | None = None


@dataclass(frozen=True, slots=True)
class Paper:
    """One act of the correspondence with an agency.

    Attributes
    ----------
    permit, clause : str, str or None
    act : {"notice-sent", "receipt", "permission", "report-signed", "report-sent", "cleared"}
    at : When
        When it happened; the clause clocks count from it.
    by, entry : str
        Person's key; id of the entry.
    sha256, digest : str or None
        Of the file that proves it; of the report it is about.
    """

    permit: str
    act: str
    at: When
    by: str
    entry: str
    clause: str | None = None
    sha256: str | None = None
    digest: str | None = None


@dataclass(frozen=True, slots=True)
class Account:
    """The whole book read as facts.

    Attributes
    ----------
    hauls : tuple of Haul
        In book order.
    animals : tuple of Animals
        Wild animals out of a haul. Born and brought animals are not here: nothing was captured.
    present : tuple of (haul key, taxon)
        Seen, not counted: neither 0 nor 1.
    none_found : tuple of (haul key, taxon)
        Searched and none, less what the haul later yielded.
    looked_for : mapping of outing to tuple of taxa
        What each outing declared to look for, for true zeros.
    short : tuple of Short
        What was taken from places where it had never arrived. Such animals are in ``animals`` all the same:
        somebody saw them go. So what came out of the sea is the sum of ``animals`` less the sum of ``short``.
    lengths : tuple of Lengths
    """

    hauls: tuple[Haul, ...]
    animals: tuple[Animals, ...]
    present: tuple[tuple[str, str], ...] = ()
    none_found: tuple[tuple[str, str], ...] = ()
    looked_for: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    short: tuple[Short, ...] = ()
    lengths: tuple[Lengths, ...] = ()
