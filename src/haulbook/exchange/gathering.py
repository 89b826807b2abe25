"""Tables are taken one by one, each by its role, until everything the sheets say is together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from haulbook.exchange.catch_rows import read_catch
from haulbook.exchange.cells import is_missing
from haulbook.exchange.code_list import CodeList, codes_of, tell_unlisted
from haulbook.exchange.coding import Coded, joined, merged
from haulbook.exchange.findings import Findings
from haulbook.exchange.haul_facts import tell_of_hauls
from haulbook.exchange.joins import nearest_key, places_by_code, settle_keys
from haulbook.exchange.known_lengths import longest_known
from haulbook.exchange.overlaps import ask_overlaps
from haulbook.exchange.ranges import ask_ranges
from haulbook.exchange.remark_fates import RemarkFate, settle_remarks
from haulbook.exchange.remark_series import tell_series
from haulbook.exchange.repeats import ask_sum_sheets, ask_sums, tell_repeats, tell_zeros, without_sums
from haulbook.exchange.sheet_catch import Catch
from haulbook.exchange.sheet_days import days_of
from haulbook.exchange.sheet_hauls import Hauls, SheetHaul, haul_keys
from haulbook.exchange.sheet_lengths import SheetLengths, compare_with_counts, lengths_in, tell_odd_lengths
from haulbook.exchange.sheet_map import FileMap, SheetMap
from haulbook.exchange.sheet_places import (
    SheetReading,
    SheetSite,
    longitudes_settled,
    readings_of,
    sites_of,
    tell_far_hauls,
)
from haulbook.exchange.table import Table

ROLE_ORDER = ("names", "sites", "hauls", "catch", "effort", "environment", "lengths")
"""What has to be known before what: a catch is joined to hauls, effort to both."""


class Gathered:
    """Everything read so far.

    Parameters
    ----------
    sheet_map : SheetMap
    findings : Findings
        Where problems and questions go.
    """

    def __init__(self, sheet_map: SheetMap, findings: Findings) -> None:
        self.map, self.findings = sheet_map, findings
        self.hauls = Hauls()
        self.catches: list[Catch] = []
        self.lengths: list[SheetLengths] = []
        self.readings: list[SheetReading] = []
        self.remark_fates: list[RemarkFate] = []
        self.codes = CodeList()
        self.placed: tuple[SheetHaul, ...] = ()
        self._sites: dict[str, SheetSite] | None = None
        self._measured: list[tuple[Table, FileMap]] = []
        self._efforts: list[tuple[Table, FileMap, Coded, Mapping[str, str]]] = []

    def take(self, table: Table, part: FileMap) -> None:
        """Take one table in, by the role of its file."""
        self.findings.problems += table.problems
        if not len(table):
            self.findings.tell("note", "has headings and no rows", table)
        ask_ranges(table, part, self.findings)
        tell_series(table, part, self.findings)
        takers: Mapping[str, Callable[[Table, FileMap], None]] = {
            "names": self._take_names,
            "sites": self._take_sites,
            "hauls": self._take_hauls,
            "catch": self._take_catch,
            "effort": self._take_effort,
            "environment": self._take_environment,
            "lengths": self._take_lengths,
        }
        takers[part.role](table, part)

    def finish(self) -> None:
        """Join what could only be joined once all was read, and tell what the whole shows."""
        self._join_efforts()
        ask_sum_sheets(self.catches, self.findings)
        ask_overlaps(self.catches, self.findings)
        tell_unlisted(self.catches, self.codes, self.findings)
        notes = {key: "; ".join(told) for key in self.hauls if (told := self.hauls.get(key, "notes"))}
        for catch in self.catches:
            self.remark_fates += settle_remarks(catch, notes, self.findings)
        if self.lengths:
            compare_with_counts(self.lengths, self.catches, self.findings)
        if self._measured:
            longest = longest_known(self.map.pack, self.codes)
            for table, part in self._measured:
                tell_odd_lengths(table, part, longest, self.findings)
        self.placed = self._placed()
        self.hauls.tell_clocks(self.findings)
        self.hauls.tell_dayless(self.findings)
        self._tell_empty()
        self._tell_sites()
        tell_far_hauls(self.placed, self.findings)
        self._tell_fateless()

    def _placed(self) -> tuple[SheetHaul, ...]:
        """Return all hauls; those without a position have that of their site."""
        sites = self._sites or {}
        return tuple(
            replace(haul, lat=site.lat, lon=site.lon)
            if haul.lat is None and (site := sites.get(haul.site or "")) is not None
            else haul
            for haul in self.hauls.all()
        )

    def _take_names(self, table: Table, part: FileMap) -> None:
        self.codes.add(codes_of(table, part, self.findings))

    def _take_sites(self, table: Table, part: FileMap) -> None:
        settled = longitudes_settled(table, part, self.map.pack, self.findings)
        self._sites = {**(self._sites or {}), **sites_of(table, settled, self.findings)}

    def _take_hauls(self, table: Table, part: FileMap) -> None:
        part = longitudes_settled(table, part, self.map.pack, self.findings)
        days = days_of(table, part, self.findings)
        for number, block in enumerate(part.sets or (None,)):
            keys = without_sums(haul_keys(table, part, days, self.findings, block), table, self.findings)
            haul = self.hauls.list(keys, table, self.findings)
            tell_of_hauls(table, part, haul, days, self.hauls, self.findings)
            if block is not None:
                tell_of_hauls(table, part, haul, None, self.hauls, self.findings, block.columns)
            if number == 0:
                self.readings += readings_of(table, part, haul, self.findings)

    def _take_catch(self, table: Table, part: FileMap) -> None:
        part = longitudes_settled(table, part, self.map.pack, self.findings)
        days = days_of(table, part, self.findings)
        haul = without_sums(haul_keys(table, part, days, self.findings), table, self.findings)
        if self.hauls.has_list:
            listed = self.hauls.listed
            free = self._without_catch() - set(haul.values)
            meanwhile = "its animals count in a haul of their own"
            haul = settle_keys(haul, listed, free or listed, table, self.findings, meanwhile)
        self.hauls.meet(haul, table)
        tell_of_hauls(table, part, haul, days, self.hauls, self.findings)
        catch = read_catch(table, part, haul, self.findings)
        ask_sums(catch, self.findings)
        tell_repeats(catch, self.findings)
        tell_zeros(catch, self.findings)
        self.catches.append(catch)
        self.readings += readings_of(table, part, haul, self.findings)
        if catch.length_mm is not None:
            self._measured.append((table, part))

    def _take_effort(self, table: Table, part: FileMap) -> None:
        days = days_of(table, part, self.findings)
        for block in part.sets or (None,):
            haul = haul_keys(table, part, days, self.findings, block)
            self._efforts.append((table, part, haul, block.columns if block else part.columns))

    def _join_efforts(self) -> None:
        if not self._efforts:
            return
        told = {key for _, _, haul, _ in self._efforts for key in haul.values}
        free = {key for key in self.hauls if key not in told}
        for table, part, haul, columns in self._efforts:
            full = _something_told(table, part, columns)
            said = merged([*haul.values, ""], np.where(full, haul.codes, len(haul.values)).astype(np.int32))
            meanwhile = "this effort belongs to no haul"
            settled = settle_keys(said, set(self.hauls), free, table, self.findings, meanwhile)
            tell_of_hauls(table, part, settled, None, self.hauls, self.findings, columns)
            told |= set(settled.values)
        file = self._efforts[0][0].file
        for known in self.hauls.all():
            if known.key not in told:
                message = f"haul {known.key!r} has no effort in {file}: no area, no catch per area"
                self.findings.tell_at("note", message, known)

    def _take_environment(self, table: Table, part: FileMap) -> None:
        days = days_of(table, part, self.findings)
        known = set(self.hauls)
        if part.haul_from or part.heading_of("haul"):
            haul = haul_keys(table, part, days, self.findings)
            haul = settle_keys(haul, known, known, table, self.findings, "these readings belong to no haul")
        else:
            haul = self._haul_of_visit(table, part, days)
        if known:
            haul = merged([key if key in known else "" for key in haul.values], haul.codes)
        self.readings += readings_of(table, part, haul, self.findings)

    def _haul_of_visit(self, table: Table, part: FileMap, days: Coded | None) -> Coded:
        """Return for each row the first haul of its site and day."""
        first: dict[str, str] = {}
        for key in self.hauls:
            site_of, day = self.hauls.get(key, "site"), self.hauls.get(key, "day")
            first.setdefault(f"{site_of}/{day}" if days is not None else f"{site_of}", key)
        site = table.columns[part.heading_of("site") or ""]
        sites = merged([" ".join(text.split()) for text in site.values], site.codes)
        visits = joined([sites, days]) if days is not None else sites
        nowhere = [code for code, visit in enumerate(visits.values) if visit not in first]
        for code, at in places_by_code(visits.codes, nowhere).items():
            message = f"no haul was made at {visits.values[code]}; these readings belong to none"
            self.findings.tell("note", message, table, int(table.rows[at[0]]))
        return merged([first.get(visit, "") for visit in visits.values], visits.codes)

    def _take_lengths(self, table: Table, part: FileMap) -> None:
        days = days_of(table, part, self.findings)
        haul = haul_keys(table, part, days, self.findings)
        known = set(self.hauls)
        haul = settle_keys(haul, known, known, table, self.findings, "these lengths belong to no haul")
        self.lengths += lengths_in(table, part, haul, self.findings)
        self._measured.append((table, part))

    def _without_catch(self) -> set[str]:
        """Return the listed hauls that no sheet of catch has so far."""
        return self.hauls.listed - {key for catch in self.catches for key in catch.haul.values}

    def _tell_empty(self) -> None:
        """Note each listed haul that no sheet of catch has: it counts as one in which nothing was caught."""
        empty = self._without_catch() if self.catches else set()
        for haul in self.placed:
            if haul.key in empty:
                message = (
                    f"haul {haul.key!r} stands in no sheet of catch; taken as a haul that caught nothing"
                )
                self.findings.tell_at("note", message, haul)

    def _tell_sites(self) -> None:
        """Note each site that a file of sites lacks, at its first haul, with the nearest that is there."""
        if self._sites is None:
            return
        told = set(self._sites)
        for haul in self.placed:
            if haul.site and haul.site not in told:
                told.add(haul.site)
                near = nearest_key(haul.site, list(self._sites))
                hint = f"; the nearest there is {near!r}" if near else ""
                self.findings.tell_at("note", f"site {haul.site!r} is in no file of sites{hint}", haul)

    def _tell_fateless(self) -> None:
        if self.map.default_fate is None:
            for catch in self.catches:
                if catch.fate is None and catch.n.any():
                    message = (
                        "no column says what became of the animals and the map has no default_fate; "
                        "in a book they all stay unaccounted"
                    )
                    self.findings.tell("note", message, catch.table)


def _something_told(table: Table, part: FileMap, columns: Mapping[str, str]) -> np.ndarray:
    """Return which rows have a value in any of the columns."""
    told = np.zeros(len(table), np.bool_)
    for heading, word in columns.items():
        if word not in ("haul", "haul_no", "site", "remark") and heading in table.columns:
            column = table.columns[heading]
            told |= np.array([not is_missing(text, part.missing) for text in column.values], np.bool_)[
                column.codes
            ]
    return told
