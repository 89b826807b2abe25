"""The permits of an outing as a phone needs them: clauses written out, what is left, conditions, stops."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from haulbook.custody.book import Book
from haulbook.custody.facts import Paper
from haulbook.custody.fates import Basis
from haulbook.custody.ledger import account_of
from haulbook.permit.follow import stops
from haulbook.permit.headroom import Headroom, headroom
from haulbook.permit.measure import plain
from haulbook.permit.model import Clause, Consequence, Permit, Scope, Source
from haulbook.permit.scope import Meant
from haulbook.permit.state import States
from haulbook.permit.take import Take
from haulbook.shore import shape
from haulbook.shore.left import Counted, Rules
from haulbook.taxa import Pack

NO_HAUL = 0
"""Hauls are called from 1 on: what counts by haul is asked about one that never is."""


@dataclass(frozen=True, slots=True)
class Ruled:
    """What the permits say to an outing on its day."""

    permits: tuple[shape.PermitName, ...]
    clauses: tuple[shape.Clause, ...]
    conditions: tuple[shape.Condition, ...]
    stops: tuple[shape.Stop, ...]


def ruled(
    take: Take, pack: Pack, outing: str, day: tuple[datetime, datetime], ours: Book, papers: Sequence[Paper]
) -> Ruled:
    """Return what the permits of a take say to an outing.

    Parameters
    ----------
    take : Take
        The whole account, with the permits that the outing goes under.
    pack : Pack
    outing : str
    day : (datetime, datetime)
        First and last instant of the outing's day. Clauses are those in force at its end.
    ours : Book
        The entries of the outing, which the kit brings along.
    papers : sequence of Paper
        A stop of the permit ends with one that says ``cleared``.
    """
    at = day[1]
    rows = [
        _clause(row, take.scoper.by_taxon(row.state.clause.scope, None))
        for row in headroom(take, at, outing, f"{outing}/{NO_HAUL}")
    ]
    names = tuple(_permit(permit, take.permits, day) for permit in take.permits)
    charged = {one.permit: one.charge_to for one in names if one.charge_to}
    rules = Rules(rows, charged, {key: _parent(pack, key) for key in pack.taxa})
    return Ruled(
        names,
        _without_ours(rules, ours),
        tuple(_conditions(take.permits, at)),
        tuple(dict.fromkeys(_stops(take, outing, at, papers))),
    )


def _parent(pack: Pack, key: str) -> str | None:
    return next(iter(pack.lineage(key)), None)


def _permit(permit: Permit, beside: Iterable[Permit], day: tuple[datetime, datetime]) -> shape.PermitName:
    other = permit.charge_to.permit if permit.charge_to else None
    return shape.PermitName(
        permit=permit.no,
        version=permit.version_at(day[1]),
        in_force=all(permit.in_force(at) for at in day),
        zone=permit.zone,
        charge_to=other if other in {one.no for one in beside} else None,
    )


def _clause(row: Headroom, unnamed: Meant) -> shape.Clause:
    """Return a clause in whose ``before`` the outing's own animals still stand."""
    state, clause = row.state, row.state.clause
    of = state.counted_of
    return shape.Clause(
        permit=state.permit,
        id=clause.id,
        version=clause.version,
        kind=_counting(clause),
        basis=str(clause.basis),
        period=str(clause.period),
        unit=clause.scope.unit,
        members=row.members,
        possible=row.possible,
        unnamed="certain" if unnamed is Meant.CERTAINLY else "possible",
        only=_only(clause.scope),
        limit=clause.limit,
        left=row.left,
        before=state.n,
        before_possible=state.possible,
        percent=plain(clause.percent) if clause.percent is not None else None,
        of=str(clause.of) if clause.of else None,
        min_n=clause.min_n,
        before_of=sum(charge.n for charge in of if charge.meant is Meant.CERTAINLY),
        before_of_possible=sum(charge.n for charge in of if charge.meant is Meant.POSSIBLY),
        instead_of=clause.instead_of,
        retained_is_lethal=clause.retained_is_lethal,
        window_h=_decimal(clause.mortality_window_h),
        on_any=_consequence(clause.on_any),
        on_reach=_consequence(clause.on_reach),
        on_exceed=_consequence(clause.on_exceed),
        text=clause.source.text,
        where=_where(clause.source),
    )


def _without_ours(rules: Rules, ours: Book) -> tuple[shape.Clause, ...]:
    """Take the outing's own animals out of ``before``, counted as the phone will count them.

    Whatever the two ways of counting may disagree on (a recapture, a clock beyond the day), what the phone then
    adds up is what the permit engine says when the kit is made.
    """
    account = account_of(ours)
    none = Counted()
    done = []
    for clause in rules.clauses:
        here = rules.count(clause, Basis(clause.basis), account, None)
        of = rules.count(clause, Basis(clause.of), account, None) if clause.of else none
        before = {
            "before": clause.before - here.n,
            "before_possible": clause.before_possible - here.possible,
            "before_of": clause.before_of - of.n,
            "before_of_possible": clause.before_of_possible - of.possible,
        }
        done.append(clause.model_copy(update=before))
    return tuple(done)


def _counting(clause: Clause) -> shape.CountingKind:
    assert clause.kind in ("limit", "prohibit", "percent")  # noqa: S101 (headroom gives no others)
    return clause.kind


def _only(scope: Scope) -> shape.Only:
    size = scope.size
    return shape.Only(
        stage=scope.life_stage,
        words=scope.stage_words,
        size=shape.Sizes(min_mm=_maybe(size.min_mm), max_mm=_maybe(size.max_mm), type=size.type)
        if size
        else None,
        origin=scope.origin,
        sex=scope.sex,
        area=scope.area,
        gear=scope.gear,
        purpose=scope.purpose,
    )


def _consequence(said: Consequence | None) -> shape.Consequence | None:
    if said is None:
        return None
    return shape.Consequence(
        stop=str(said.stop),
        notify=said.notify,
        within_h=_maybe(said.within_h),
        written_within_d=said.written_within_d,
        clock_from=said.clock_from,
    )


def _conditions(permits: Iterable[Permit], at: datetime) -> Iterable[shape.Condition]:
    for permit in permits:
        for clause in permit.ruling(at) if permit.in_force(at) else ():
            if not clause.counts:
                yield shape.Condition(
                    permit=permit.no,
                    id=clause.id,
                    version=clause.version,
                    kind=clause.kind,
                    text=clause.source.text,
                    where=_where(clause.source),
                )


def _stops(take: Take, outing: str, at: datetime, papers: Sequence[Paper]) -> Iterable[shape.Stop]:
    states = States(take)
    for permit in take.permits:
        for one in stops(states, permit, at, outing, None, papers):
            if str(one.stop) != "none":
                yield shape.Stop(
                    permit=permit.no,
                    clause=one.state.clause.id,
                    stop=str(one.stop),
                    why=one.why,
                    words=one.words,
                )


def _where(source: Source) -> str | None:
    places = (("page", source.page), ("section", source.section))
    return ", ".join(f"{word} {value}" for word, value in places if value) or None


def _decimal(value: Fraction) -> float:
    """Return an exact number with the four decimals that the kit's text can hold."""
    return round(float(value), 4)


def _maybe(value: Fraction | None) -> float | None:
    return None if value is None else _decimal(value)
