"""A permit file in: every clause in every version, checked as a whole, all problems at once.

The fields are listed in ``docs/reference/permit.md``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from haulbook.custody.fates import Basis
from haulbook.exchange.permit_details import DETAILS, read_detail
from haulbook.exchange.permit_parts import (
    NO_NUMBER,
    consequence,
    limit,
    maybe_exact,
    maybe_whole,
    month_day,
    parsed,
    percent,
    sizes,
    source,
)
from haulbook.exchange.toml_keys import Keys, load_toml, refuse_problems
from haulbook.permit.model import (
    CLAUSE_BASES,
    COUNTING,
    STAGES,
    UNITS,
    ChargeTo,
    Clause,
    Kind,
    Period,
    Permit,
    Scope,
    TaxonList,
)
from haulbook.permit.names import Names
from haulbook.permit.period import midnight
from haulbook.problems import Problem, unknown

HEADER = (
    "no", "holder", "zone", "valid_from", "valid_to", "year_start", "needs_also", "charge_to",
    "papers", "people", "lists", "clause",
)  # fmt: skip
CLAUSE = (
    "id", "version", "effective_from", "effective_to", "kind", "scope", "basis", "limit", "percent",
    "of", "min_n", "instead_of", "period", "charge_by", "recaptures", "possible",
    "mortality_window_h", "retained_is_lethal", "on_any", "on_reach", "on_exceed", "reset", "source",
    "confirmed_by", *DETAILS,
)  # fmt: skip
SCOPE = (
    "taxon", "taxa", "list", "all", "exclude", "life_stage", "stage_words", "origin", "sex",
    "size_mm", "unit", "area", "gear", "purpose",
)  # fmt: skip


def read_permit(path: Path, pack: Names | None = None) -> Permit:
    """Read a permit file.

    Parameters
    ----------
    path : Path
    pack : Names or None
        The taxon pack that the keys are checked against; without it they are taken as written.

    Raises
    ------
    Refusal
        With every problem found: unknown keys and words (the nearest named), scopes that name none or several
        of taxon, taxa, list and all, dates that contradict each other, versions that overlap, clauses without
        the permit's own words.
    """
    return permit_of(load_toml(path), path.name, pack)


def permit_of(content: dict[str, Any], name: str, pack: Names | None = None) -> Permit:
    """Read the content of a permit file; otherwise as :func:`read_permit`."""
    problems: list[Problem] = []
    keys = Keys(content, "", name, HEADER, problems)
    permit = _Reader(keys, _zone(keys), pack).permit()
    if not problems:
        _as_a_whole(permit, keys)
    refuse_problems(problems)
    return permit


def _zone(keys: Keys) -> ZoneInfo:
    name = keys.text("zone")
    try:
        return ZoneInfo(name or "UTC")
    except (ZoneInfoNotFoundError, ValueError, OSError):
        keys.wrong("zone", f"there is no zone {name!r}; write one as America/New_York")
        return ZoneInfo("UTC")


class _Reader:
    """Reads one permit; holds what all its clauses need."""

    def __init__(self, keys: Keys, zone: ZoneInfo, pack: Names | None) -> None:
        self.keys, self.zone, self.pack = keys, zone, pack
        self.no = keys.text("no")
        self.lists = self._lists()

    def permit(self) -> Permit:
        keys = self.keys
        begins = self._begin(keys, "valid_from") or datetime(1, 1, 2, tzinfo=self.zone)
        ends_on, ends = self._end(keys, "valid_to") or (
            date(9998, 1, 1),
            midnight(date(9998, 1, 2), self.zone),
        )
        if ends <= begins:
            keys.wrong("valid_to", "lies before valid_from")
        return Permit(
            no=self.no,
            holder=keys.text("holder"),
            zone=self.zone.key,
            valid_from=begins,
            valid_to=ends,
            ends_on=ends_on,
            year_start=parsed(keys, "year_start", month_day) or (begins.month, begins.day),
            needs_also=keys.texts("needs_also"),
            charge_to=self._charge_to(),
            papers=keys.texts("papers"),
            people=keys.texts("people"),
            lists=self.lists,
            clauses=_chained([self._clause(clause, begins) for clause in keys.tables("clause", CLAUSE)]),
        )

    def _lists(self) -> dict[str, TaxonList]:
        found: dict[str, TaxonList] = {}
        lists = self.keys.table("lists", None)
        for name in lists.found if lists else ():
            entry = lists.table(name, ("checked", "members")) if lists else None
            if entry is None:
                continue
            if "checked" not in entry.found:
                entry.wrong(
                    "checked", "is needed: the date on which somebody compared the list with the permit"
                )
            members = self._taxa(entry, "members", entry.texts("members", needed=True))
            found[name] = TaxonList(name, entry.day("checked") or date.min, members)
        return found

    def _taxa(self, keys: Keys, key: str, taxa: tuple[str, ...]) -> tuple[str, ...]:
        for taxon in taxa if self.pack else ():
            if self.pack and taxon not in self.pack.taxa:
                keys.wrong(key, unknown("taxon", taxon, self.pack.taxa))
        return taxa

    def _charge_to(self) -> ChargeTo | None:
        keys = self.keys.table("charge_to", ("permit", "source"))
        return ChargeTo(keys.text("permit"), source(keys)) if keys else None

    def _clause(self, keys: Keys, valid_from: datetime) -> tuple[Keys, Clause]:
        kind: Kind = keys.one_of("kind", (*COUNTING, *DETAILS))  # type: ignore[assignment]
        fields: dict[str, Any] = {
            "permit": self.no,
            "id": keys.text("id"),
            "version": maybe_whole(keys, "version", low=1) or 1,
            "effective_from": self._begin(keys, "effective_from")
            if "effective_from" in keys.found
            else valid_from,
            "effective_to": (self._end(keys, "effective_to") or (None, None))[1],
            "kind": kind,
            "scope": self._scope(keys, kind),
            "basis": self._basis(keys, kind),
            "instead_of": keys.texts("instead_of"),
            "period": self._period(keys, kind),
            "charge_by": keys.one_of("charge_by", ("capture", "event"), "capture"),
            "retained_is_lethal": keys.flag("retained_is_lethal"),
            "reset": keys.flag("reset"),
            "detail": read_detail(keys, kind),
            "source": source(keys),
            "confirmed_by": keys.texts("confirmed_by"),
            **self._number(keys, kind),
            **{name: consequence(keys, name) for name in ("on_any", "on_reach", "on_exceed")},
        }
        for key, words in (("possible", ("worst_case", "certain_only")), ("recaptures", ("each", "once"))):
            if key in keys.found:
                fields[key] = keys.one_of(key, words)
        window = maybe_exact(keys, "mortality_window_h")
        if window is not None:
            fields["mortality_window_h"] = window
        fields["effective_from"] = fields["effective_from"] or valid_from
        return keys, Clause(**fields)

    def _basis(self, keys: Keys, kind: str) -> Basis | None:
        if kind not in COUNTING:
            if "basis" in keys.found:
                keys.wrong("basis", f"belongs to a clause that counts, this one is {kind}")
            return None
        word = keys.one_of("basis", CLAUSE_BASES)
        return Basis(word) if word in CLAUSE_BASES else None

    def _period(self, keys: Keys, kind: str) -> Period:
        numbered = kind == "percent" or (kind == "limit" and keys.found.get("limit", NO_NUMBER) != NO_NUMBER)
        usual = Period.PERMIT_LIFE if kind == "report" else Period.PERMIT_YEAR
        word = keys.one_of("period", tuple(Period), None if numbered else usual)
        return Period(word) if word in tuple(Period) else usual

    def _number(self, keys: Keys, kind: str) -> dict[str, Any]:
        """Read what a counting clause compares with, and refuse what belongs to another kind."""
        belongs = {"limit": ("limit",), "percent": ("percent", "of", "min_n")}.get(kind, ())
        for key in ("limit", "percent", "of", "min_n"):
            if key in keys.found and key not in belongs:
                keys.wrong(key, f"belongs to another kind than {kind}")
        if kind == "prohibit":
            return {"limit": 0}
        if kind == "limit":
            return {"limit": limit(keys)}
        if kind != "percent":
            return {}
        if "percent" not in keys.found:
            keys.wrong("percent", 'is needed: write the percentage as text, "5" or "2.5"')
        of = keys.one_of("of", CLAUSE_BASES, Basis.CAPTURED)
        return {
            "percent": parsed(keys, "percent", percent) or Fraction(0),
            "of": Basis(of) if of in CLAUSE_BASES else Basis.CAPTURED,
            "min_n": maybe_whole(keys, "min_n") or 0,
        }

    def _scope(self, keys: Keys, kind: str) -> Scope:
        scope = keys.table("scope", SCOPE)
        if scope is None:
            if kind in COUNTING:
                keys.wrong("scope", "is needed: which taxa does the clause mean?")
            return Scope(everything=True)
        everything = scope.flag("all")
        if "all" in scope.found and not everything:
            scope.wrong("all", "write all = true, or name the taxa")
        stages = scope.texts("life_stage")
        for stage in stages:
            if stage not in STAGES:
                scope.wrong("life_stage", unknown("stage", stage, STAGES))
        return Scope(
            everything=everything,
            taxa=self._named(scope),
            list_name=scope.maybe_text("list"),
            exclude=self._taxa(scope, "exclude", scope.texts("exclude")),
            life_stage=stages,
            stage_words=scope.texts("stage_words"),
            origin=scope.texts("origin"),
            sex=scope.texts("sex"),
            size=sizes(scope),
            unit=scope.one_of("unit", UNITS, "individual"),
            area=scope.texts("area"),
            gear=scope.texts("gear"),
            purpose=scope.maybe_text("purpose"),
        )

    def _named(self, scope: Keys) -> tuple[str, ...]:
        """Return the taxa that a scope names in exactly one of four ways."""
        ways = [key for key in ("taxon", "taxa", "list", "all") if key in scope.found]
        if len(ways) != 1:
            said = f"names {' and '.join(ways)}" if ways else "names no taxa"
            scope.wrong("", f"{said}; name exactly one of taxon, taxa, list, all = true")
            return ()
        if ways == ["taxon"]:
            return self._taxa(scope, "taxon", (scope.text("taxon"),))
        if ways == ["taxa"]:
            return self._taxa(scope, "taxa", scope.texts("taxa", needed=True))
        name = scope.text("list") if ways == ["list"] else ""
        if name and name not in self.lists:
            scope.wrong("list", unknown("list", name, self.lists))
        return self.lists[name].members if name in self.lists else ()

    def _begin(self, keys: Keys, key: str) -> datetime | None:
        """Return the first instant: a date means its local midnight."""
        if isinstance(keys.found.get(key), datetime):
            return keys.instant(key)
        if key not in keys.found:
            keys.wrong(key, "is needed: write a date without quotes, as 2027-04-01")
        day = keys.day(key)
        return midnight(day, self.zone) if day else None

    def _end(self, keys: Keys, key: str) -> tuple[date, datetime] | None:
        """Return the last day and the first instant after the end: a date means the whole of it."""
        if isinstance(keys.found.get(key), datetime):
            at = keys.instant(key)
            return ((at - timedelta(microseconds=1)).astimezone(self.zone).date(), at) if at else None
        if key not in keys.found and key == "valid_to":
            keys.wrong(key, "is needed: write a date without quotes, as 2028-03-31")
        day = keys.day(key)
        return (day, midnight(day + timedelta(days=1), self.zone)) if day else None


def _chained(read: Iterable[tuple[Keys, Clause]]) -> tuple[Clause, ...]:
    """Return clauses with each version ending where the next begins; refuse versions that don't follow."""
    by_id: dict[str, list[tuple[Keys, Clause]]] = defaultdict(list)
    for keys, clause in read:
        by_id[clause.id].append((keys, clause))
    chained = []
    for versions in by_id.values():
        versions.sort(key=lambda pair: pair[1].version)
        for i, (keys, clause) in enumerate(versions):
            following = versions[i + 1][1] if i + 1 < len(versions) else None
            _in_turn(keys, clause, i + 1, following)
            if following and clause.effective_to is None:
                clause = replace(clause, effective_to=following.effective_from)
            chained.append(clause)
    return tuple(chained)


def _in_turn(keys: Keys, clause: Clause, turn: int, following: Clause | None) -> None:
    if clause.version != turn:
        said = f"is {clause.version}; version {turn} of clause {clause.id} is missing or said twice"
        keys.wrong("version", said)
    if clause.effective_to is not None and clause.effective_to <= clause.effective_from:
        keys.wrong("effective_to", "lies before effective_from")
    if following and following.effective_from <= clause.effective_from:
        keys.wrong("effective_from", f"version {following.version} begins no later than this one")
    if following and clause.effective_to and clause.effective_to > following.effective_from:
        keys.wrong("effective_to", f"lies after the beginning of version {following.version}")
    if clause.reset and clause.version == 1:
        keys.wrong("reset", "belongs to an amendment: version 2 or later")


def _as_a_whole(permit: Permit, keys: Keys) -> None:
    ids = permit.clause_ids
    if not ids:
        keys.wrong("clause", "a permit has at least one [[clause]]")
    for clause in permit.clauses:
        for other in clause.instead_of:
            if other not in ids:
                keys.wrong("clause", f"{clause.id}: instead_of: {unknown('clause', other, ids)}")
            if other == clause.id:
                keys.wrong("clause", f"{clause.id}: instead_of names the clause itself")
        if clause.effective_from >= permit.valid_to:
            keys.wrong("clause", f"{clause.id}: effective_from lies after the end of the permit")
    if permit.charge_to and permit.charge_to.permit == permit.no:
        keys.wrong("charge_to.permit", "names this permit itself")
