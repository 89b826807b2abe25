"""Rows of the report model, read from the account: one for each animal or lump that differs.

Every agency's table is a projection of these; nothing is typed twice. Source: A3.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from haulbook.custody.facts import Animals, Haul, Lengths
from haulbook.custody.fates import Basis
from haulbook.custody.when import When
from haulbook.gear import Net, condition, swept_area
from haulbook.permit.cells import counts, remarks, sizes
from haulbook.permit.charge import sampled
from haulbook.permit.excess import lines_beyond
from haulbook.permit.fields import FIELDS, Value
from haulbook.permit.grounds import Grounds, Span, Spot
from haulbook.permit.headroom import allowance
from haulbook.permit.model import Permit
from haulbook.permit.names import is_open
from haulbook.permit.period import clock, span
from haulbook.permit.scope import Meant
from haulbook.permit.state import State, States
from haulbook.permit.take import Take
from haulbook.problems import Refusal


def report_rows(
    take: Take,
    permit: Permit,
    days: Span,
    as_of: datetime,
    grounds: Grounds | None = None,
    corrected: frozenset[str] = frozenset(),
    history: Sequence[State] | None = None,
) -> tuple[dict[str, Value], ...]:
    """Return the rows of a permit's report.

    Parameters
    ----------
    take : Take
        The account and all permits relied on together.
    permit : Permit
        The one reported under, one of them.
    days : Span
    as_of : datetime
        The report is what the account said at this instant.
    grounds : Grounds or None
        Sites, nets and people, where known.
    corrected : frozenset of str
        Ids of entries that correct something; rows that rest on one are flagged.
    history : sequence of State or None
        ``States(take).history(permit, as_of)``, where it has been worked out already.

    Returns
    -------
    tuple of dict
        In the order of the account; a haul without animals has one row of zeros. Animals beyond a limit, not
        allowed, or taken without a permit stand on rows of their own with the flag ``unauthorised``.
    """
    if history is None:
        history = tuple(States(take).history(permit, as_of))
    return tuple(_Rows(take, permit, days, history, grounds or Grounds(), corrected).all())


class _Rows:
    """Makes the rows of one report; holds what every row needs."""

    def __init__(
        self,
        take: Take,
        permit: Permit,
        days: Span,
        history: Sequence[State],
        grounds: Grounds,
        corrected: frozenset[str],
    ) -> None:
        self.take, self.permit, self.days, self.grounds = take, permit, days, grounds
        self.corrected = corrected
        self.beyond = lines_beyond(history)
        self.clauses, self.tightest = _standing(history)
        self.lengths = _lengths(take)
        self.samples = _samples(take)
        self.alone = _alone(take.account.animals)

    def all(self) -> Iterator[dict[str, Value]]:
        by_haul: dict[str, list[tuple[int, Animals]]] = defaultdict(list)
        for line, animals in enumerate(self.take.account.animals):
            by_haul[animals.haul].append((line, animals))
        known = {haul.key for haul in self.take.account.hauls}
        bare = [self.take.haul_of(rows[0][1]) for key, rows in by_haul.items() if key not in known]
        for haul in (*self.take.account.hauls, *bare):
            rows = by_haul.get(haul.key, [])
            when = clock(haul) or (rows[0][1].called if rows else None)
            if when and self.days.holds(when, self.permit) and self._ours(haul, when):
                yield from self._haul(haul, when, rows)

    def _ours(self, haul: Haul, when: When) -> bool:
        """Whether a haul belongs into this report: under the permit, or under no permit at all."""
        held = self.take.held(self.permit, haul, when)
        return held or not self.take.covered(haul, when)

    def _haul(self, haul: Haul, when: When, rows: list[tuple[int, Animals]]) -> Iterator[dict[str, Value]]:
        base = self._of_haul(haul, when)
        if not rows:
            yield base | {"remark": "nothing caught", **counts(None, 0)}
        for line, animals in rows:
            why, beyond = self._unauthorised(haul, when, line, animals)
            if animals.n > beyond:
                within = replace(animals, n=animals.n - beyond) if beyond else animals
                yield from self._animals(base, haul, line, within, None)
            if beyond:
                yield from self._animals(base, haul, line, replace(animals, n=beyond), why)

    def _of_haul(self, haul: Haul, when: When) -> dict[str, Value]:
        zone = self.permit.tz
        first, last = when.days_in(zone)
        spot = self.grounds.sites.get(haul.site or "") or Spot(haul.site or "")
        net = self.grounds.nets.get(haul.net or "")
        own = haul.lat is not None and haul.lon is not None
        row: dict[str, Value] = dict.fromkeys(FIELDS)
        row.update(
            permit_no=self.permit.no,
            holder=self.permit.holder,
            permit_version=self.permit.version_at(span(when, zone)[0]),
            period_start=self.days.first,
            period_end=self.days.last,
            outing_id=haul.outing,
            outing_date_local=first if first == last else when.text,
            haul_no=haul.label or haul.key.rpartition("/")[2],
            set_at=_local(haul.started, self.permit),
            landed_at=_local(haul.landed, self.permit),
            tz=self.permit.zone,
            site_name=spot.name,
            water_body=spot.water_body,
            admin_area=spot.admin_area,
            agency_area_code=spot.agency_area_code,
            lat=haul.lat if own else spot.lat,
            lon=haul.lon if own else spot.lon,
            datum="EPSG:4326" if own or spot.lat is not None else None,
            coord_source="haul" if own else spot.position_from,
            coord_uncertainty_m=spot.uncertainty_m,
            gear_code=haul.net,
            gear_length_m=net.length_m if net else None,
            gear_height_m=net.height_m if net else None,
            mesh_mm=net.mesh_mm if net else None,
            swept_area_m2=_area(haul, net),
            effort_value=1,
            effort_unit="haul",
            people_present=self.grounds.people_present.get(haul.outing),
            condition=condition(haul.condition).words if haul.condition else None,
            flag="normal",
        )
        return row

    def _unauthorised(self, haul: Haul, when: When, line: int, animals: Animals) -> tuple[str, int]:
        """Return why, and how many of a line, were taken without authority."""
        at = span(when, self.permit.tz)[0]
        if not self.take.covered(haul, when):
            return "take without a permit in force", animals.n
        for basis in (Basis.RETAINED, Basis.KILLED):
            if basis in animals.bases and allowance(self.take, animals, basis, at) is Meant.NOT:
                return f"no clause allows it to be {basis}", animals.n
        beyond, clause = self.beyond.get(line, (0, ""))
        return f"beyond clause {clause}", min(beyond, animals.n)

    def _animals(
        self, base: dict[str, Value], haul: Haul, line: int, animals: Animals, why: str | None
    ) -> Iterator[dict[str, Value]]:
        """Yield one row, or one for each measured animal where the measures are surely theirs."""
        row = base | self._names(animals) | self._judged(haul, line, animals, why)
        if animals.length_mm is not None:
            yield (
                row
                | counts(animals, animals.n)
                | sizes([animals.length_mm] * animals.n)
                | self._sampled(animals)
            )
            return
        group = (animals.haul, animals.taxon, animals.stage)
        measured = self.lengths.pop(group, [])
        if self.alone[group] == 1 and not why and line not in self.beyond and len(measured) <= animals.n:
            for mm in measured:
                yield row | counts(animals, 1) | sizes([mm]) | self._sampled(replace(animals, n=1))
            if animals.n > len(measured):
                rest = replace(animals, n=animals.n - len(measured))
                yield row | counts(rest, rest.n) | self._sampled(rest)
            return
        yield row | counts(animals, animals.n) | sizes(measured) | self._sampled(animals)

    def _names(self, animals: Animals) -> dict[str, Value]:
        named = self.take.names.taxa.get(animals.taxon)
        as_written = animals.taxon.removeprefix("?")
        common = named.common_names[0] if named and named.common_names else as_written
        certainty = "open" if is_open(animals.taxon) else "doubtful" if animals.doubt == "name" else "certain"
        return {
            "taxon_sci": named.scientific_name if named else None,
            "taxon_common": common,
            "taxon_id": named.aphia_id if named else None,
            "taxon_list_name": self._list_name(animals),
            "verbatim_name": animals.said or (as_written if named is None else None),
            "id_certainty": certainty,
            "life_stage": animals.stage,
            "sex": animals.sex,
            "origin": animals.origin,
            "mark": animals.mark,
            "unit": animals.unit,
        }

    def _list_name(self, animals: Animals) -> str | None:
        names = {
            clause.scope.list_name
            for clause in self.permit.clauses
            if clause.scope.list_name and self.take.meant(self.permit, clause, animals) is Meant.CERTAINLY
        }
        return "; ".join(sorted(name for name in names if name)) or None

    def _judged(self, haul: Haul, line: int, animals: Animals, why: str | None) -> dict[str, Value]:
        tight = self.tightest.get(line)
        return {
            "disposition_code": animals.fate.value,
            "disposition_place": animals.place,
            "disposition_ref": animals.cause,
            "clause_ids": "; ".join(self.clauses.get(line, ())) or None,
            "authorised_n": tight.clause.limit if tight else None,
            "used_n": tight.n if tight else None,
            "remaining_n": tight.remaining if tight else None,
            "flag": self._flag(haul, animals, why),
            "remark": "; ".join(remarks(animals, why)) or None,
            "entry_ids": "; ".join(animals.entries) or None,
        }

    def _flag(self, haul: Haul, animals: Animals, why: str | None) -> str:
        if why:
            return "unauthorised"
        at = span(clock(haul) or animals.called, self.permit.tz)[0]
        protecting = (
            clause
            for permit in self.take.permits
            for clause in permit.ruling(at)
            if clause.limit == 0 and clause.basis in (Basis.RETAINED, Basis.CAPTURED)
            if self.take.meant(permit, clause, animals) is Meant.CERTAINLY
        )
        if next(protecting, None):
            return "protected"
        return "corrected" if self.corrected & set(animals.entries) else "normal"

    def _sampled(self, animals: Animals) -> dict[str, Value]:
        """Allot the tissue samples of a haul, taxon and stage to its rows, in order."""
        group = (animals.haul, animals.taxon, animals.stage)
        if group not in self.samples:
            return {}
        n = min(animals.n, self.samples[group])
        self.samples[group] -= n
        return {"n_sampled": n}


def _local(when: When | None, permit: Permit) -> Value:
    """Return a clock time in the permit's zone; None where only the day is known, never 00:00."""
    instant = when.instant if when else None
    return instant.astimezone(permit.tz) if instant else None


def _area(haul: Haul, net: Net | None) -> float | None:
    if haul.area_m2 is not None:
        return haul.area_m2
    try:
        return swept_area(haul.set_type, haul.measures, net).m2
    except Refusal:
        return None


def _standing(history: Iterable[State]) -> tuple[dict[int, tuple[str, ...]], dict[int, State]]:
    """Return for each line of the account the clauses that count it, and the one with the least left."""
    clauses: dict[int, dict[str, None]] = defaultdict(dict)
    tightest: dict[int, State] = {}
    for state in history:
        for charge in state.counted:
            if charge.line is None or charge.meant is not Meant.CERTAINLY:
                continue
            clauses[charge.line][state.clause.id] = None
            if state.remaining is None:
                continue
            other = tightest.get(charge.line)
            if (
                other is None
                or (other.clause.id == state.clause.id)
                or state.remaining < (other.remaining or 0)
            ):
                tightest[charge.line] = state
    return {line: tuple(ids) for line, ids in clauses.items()}, tightest


Group = tuple[str, str, str | None]


def _lengths(take: Take) -> dict[Group, list[float]]:
    """Return the lengths of each haul, taxon and stage that stand on a lengths line of their own."""
    found: dict[Group, list[float]] = defaultdict(list)
    for taken in take.account.lengths:
        found[_group(taken)] += taken.mm
    return dict(found)


def _samples(take: Take) -> dict[Group, int]:
    found: dict[Group, int] = defaultdict(int)
    for animals in sampled(take):
        found[animals.haul, animals.taxon, animals.stage] += animals.n
    return dict(found)


def _group(taken: Lengths) -> Group:
    return taken.haul, taken.taxon, taken.stage


def _alone(animals: Iterable[Animals]) -> dict[Group, int]:
    """Return how many lines share a haul, taxon and stage: lengths surely belong where there is one."""
    lines: dict[Group, int] = defaultdict(int)
    for row in animals:
        lines[row.haul, row.taxon, row.stage] += 1
    return lines
