"""Reads a book as an account: the balance, the permits, the reports, the catch per area, and what is open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain

from haulbook.custody.book import Book
from haulbook.custody.closing import OpenThing
from haulbook.custody.facts import Account
from haulbook.custody.fates import Fate
from haulbook.custody.ledger import Balances
from haulbook.custody.reading_once import read_once
from haulbook.exchange.station_toml import Station
from haulbook.office.balance import by_fate, by_taxon, captured, died_later
from haulbook.office.densities import Density, Swept, areas_of, densities
from haulbook.office.report_to_agency import Report, grounds_of, report_to_agency
from haulbook.office.say import is_open, scientific
from haulbook.permit.finding import Finding
from haulbook.permit.layout import Layout
from haulbook.permit.model import Permit
from haulbook.permit.take import Take
from haulbook.problems import Refusal
from haulbook.taxa import Pack

SETTLED_LATER = "note"
"""Findings of this grade are for the file; all others a person must settle."""


@dataclass(frozen=True, slots=True)
class Accounted:
    """A book, read.

    Attributes
    ----------
    book : Book
    account : Account
    balances : Balances
        Where everything is, the other side of ``account``.
    pack : Pack
    areas : mapping of haul key to Swept
    densities : tuple of Density
    reports : tuple of Report
        One for each permit and permit year.
    open : tuple of OpenThing
        Of all outings.
    """

    book: Book
    account: Account
    balances: Balances
    pack: Pack
    areas: dict[str, Swept]
    densities: tuple[Density, ...]
    reports: tuple[Report, ...]
    open: tuple[OpenThing, ...]

    @property
    def captured(self) -> int:
        """Individuals captured."""
        return captured(self.account.animals)

    @property
    def unaccounted(self) -> int:
        """Individuals of which nobody said where they went."""
        return by_fate(self.account.animals).get(Fate.UNACCOUNTED, 0)

    @property
    def out_of_sea(self) -> int:
        """Individuals that the book moved out of the sea: the other side of the balance."""
        return -self.balances.of(place="sea", unit="individual").n

    @property
    def difference(self) -> int:
        """Individuals out of the sea of which nobody said where they went, or that came from nowhere."""
        return self.out_of_sea - sum(by_fate(self.account.animals).values()) + self.unaccounted

    @property
    def other_units(self) -> dict[str, int]:
        """What was captured and is no individual, by its unit: egg masses, colonies, blades, grams."""
        units = dict.fromkeys(lot.unit for lot in self.account.animals if lot.unit != "individual")
        return {unit: captured(self.account.animals, unit) for unit in units}

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Findings of all reports, each once."""
        return tuple(dict.fromkeys(finding for report in self.reports for finding in report.filing.findings))

    @property
    def to_settle(self) -> bool:
        """Whether a person has to settle something before this can be sent.

        Kept animals that stand in a bucket which left the beach have their fate: they are owed a tank, not a
        decision.
        """
        return (
            bool(self.unaccounted)
            or any(finding.grade != SETTLED_LATER for finding in self.findings)
            or any(
                thing.kind != "animals" and (thing.blocks or thing.kind == "fate-unknown")
                for thing in self.open
            )
        )

    def as_json(self) -> dict[str, object]:
        """Return what ``haulbook account --json`` prints of the account itself."""
        fates = by_fate(self.account.animals)
        return {
            "captured": self.captured,
            "by_fate": {fate.value: fates.get(fate, 0) for fate in Fate},
            "died_later": died_later(self.account.animals),
            "by_taxon": by_taxon(self.account.animals),
            "other_units": self.other_units,
            "hauls": len(self.account.hauls),
            "unaccounted": self.unaccounted,
            "findings": [finding.as_json() for finding in self.findings],
            "estimates": [_estimate_json(density, self.pack) for density in self.densities],
            "reports": [_report_json(report) for report in self.reports],
            "open": [
                {"kind": thing.kind, "key": thing.key, "blocks": thing.blocks, "n": thing.n,
                 "message": thing.words}
                for thing in self.open
            ],
        }  # fmt: skip


def account_book(
    book: Book,
    pack: Pack,
    *,
    permits: Sequence[Permit] = (),
    layouts: Sequence[Layout] = (),
    station: Station | None = None,
    as_of: datetime,
) -> Accounted:
    """Read a book as an account.

    Parameters
    ----------
    book : Book
    pack : Pack
    permits : sequence of Permit
        All that were relied on; several hold at once.
    layouts : sequence of Layout
        Tables that each permit's report is laid out in.
    station : Station or None
        For nets, sites and positions.
    as_of : datetime
        When this is read: amendments known by then rule.

    Raises
    ------
    Refusal
        Where the book names taxa that the pack does not have.
    """
    read = read_once(book, pack.is_within)
    account = read.account
    _refuse_strange_taxa(account, pack)
    areas = areas_of(account.hauls, station.nets if station else {})
    take = Take(account, permits, pack)
    return Accounted(
        book=book,
        account=account,
        balances=read.balances,
        pack=pack,
        areas=areas,
        densities=densities(account, areas, pack.is_within),
        reports=report_to_agency(take, layouts, as_of, grounds_of(station), read.papers, _correcting(book)),
        open=tuple(chain.from_iterable(read.open.values())),
    )


def _refuse_strange_taxa(account: Account, pack: Pack) -> None:
    """Refuse a book of another pack: no permit, group or name would mean its animals."""
    strange = sorted({lot.taxon for lot in account.animals if not is_open(lot.taxon)} - set(pack.taxa))
    if strange:
        shown = ", ".join(map(repr, strange[:5])) + (" ..." if len(strange) > 5 else "")
        raise Refusal(
            f"the pack {pack.key} lacks {len(strange)} taxa of the book, as {shown}; is it the book's pack?"
        )


def _correcting(book: Book) -> frozenset[str]:
    """Return the ids of entries that set others right: better names, and what was entered in place of a slip."""
    found: set[str] = set()
    for entry in book.entries:
        if entry.kind == "redetermination":
            found.add(entry.id)
        elif entry.kind == "strike":
            found.update(entry.body.get("instead", ()))
    return frozenset(found)


def _estimate_json(density: Density, pack: Pack) -> dict[str, object]:
    estimate = density.estimate
    return {
        "taxon": density.taxon,
        "scientific_name": scientific(density.taxon, pack),
        "period": density.period,
        "net": density.group.net,
        "set_type": density.group.set_type,
        "hauls": estimate.n_hauls,
        "positive": estimate.n_positive,
        "animals": density.animals,
        "area_m2": round(density.area_m2, 4),
        "per_100_m2": estimate.per_100_m2,
        "low": estimate.low,
        "high": estimate.high,
        "mean_of_hauls_per_100_m2": estimate.mean_of_hauls_per_100_m2,
        "method": estimate.method,
        "warnings": list(estimate.warnings),
        "left_out": len(estimate.left_out),
    }


def _report_json(report: Report) -> dict[str, object]:
    return {
        "permit": report.permit.no,
        "first": report.filing.days.first.isoformat(),
        "last": report.filing.days.last.isoformat(),
        "captured": report.captured,
        "blockers": list(report.filing.blockers),
        "tables": [
            {"layout": laid.layout.name, "rows": len(laid.table.rows), "parts": dict(laid.parts),
             "reported": laid.reported}
            for laid in report.tables
        ],
    }  # fmt: skip
