"""Compiles the outing kit: all that a phone needs at the beach, in one text.

What can be worked out here is not left to the phone, which adds, compares and looks up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from haulbook.care.cautions import HAND_RULES, NO_RELEASE, PEOPLE, PERMIT, PUMPS
from haulbook.care.kit import company_rules
from haulbook.custody.book import Book
from haulbook.custody.canonical import admitted, canonical, sha256_of
from haulbook.custody.facts import Account, Paper
from haulbook.custody.ledger import account_of
from haulbook.custody.papers import papers
from haulbook.custody.when import When
from haulbook.exchange.plan_toml import Plan
from haulbook.exchange.station_toml import Station
from haulbook.identify import kit_table, load_model, prior
from haulbook.identify.past import Past, found_in
from haulbook.office.kit_checks import refuse_unfit, to_settle
from haulbook.office.kit_clauses import ruled
from haulbook.office.kit_taxa import oxygen_of, taxa_of, words_of
from haulbook.office.kit_water import day_at, light_of, tide_of, water_of
from haulbook.office.planning.catch import comparable
from haulbook.office.planning.past import usual_water, waters_of
from haulbook.permit.model import Permit
from haulbook.permit.take import Take
from haulbook.shore import Kit, seal, shape
from haulbook.taxa import Pack
from haulbook.tide import Station as TideStation


def compile_kit(
    plan: Plan,
    station: Station,
    permits: Sequence[Permit],
    pack: Pack,
    book: Book,
    made_at: datetime,
    *,
    account: Account | None = None,
    tide_station: TideStation | None = None,
    plan_file: str = "the plan",
) -> Kit:
    """Return the kit of an outing. The same input gives the same bytes.

    Parameters
    ----------
    plan : Plan
        Who goes, where, with what.
    station : Station
    permits : sequence of Permit
        All at hand; those that the plan names go along.
    pack : Pack
        The station's.
    book : Book
        What was taken so far, the outing's own entries included where it is under way.
    made_at : datetime
        When the kit is made, with its zone.
    account : Account, optional
        Of the whole book, where it was read already. ``book`` then needs no more than the outing's own entries, and all
        papers, readings and strikes.
    tide_station : TideStation, optional
        Where the site's tide station is none of the packaged ones.
    plan_file : str
        How to call the plan in a refusal.

    Raises
    ------
    Refusal
        Everything that the plan names and nobody knows, together; a tide that can't be predicted.
    """
    refuse_unfit(plan, station, permits, pack, tide_station, plan_file)
    site = station.sites[plan.site]
    relied = [permit for no in plan.permits for permit in permits if permit.no == no]
    account, day = account or account_of(book, within=pack.is_within), day_at(site, plan.date)
    ours = Book.of(entry for entry in book.entries if entry.outing == plan.outing)
    sun, light = light_of(site, day)
    water = water_of(site, tide_station)
    rules = ruled(
        Take(account, relied, pack), pack, plan.outing, day.span, ours, _papers(plan, book, made_at)
    )
    past = _past(account, plan)
    hauls = comparable(account.hauls, plan.site, plan.nets, plan.date.month)
    oxygen = oxygen_of(pack, usual_water(waters_of(book), (haul.key for haul in hauls)))
    model = load_model(pack.key)
    planned = _plan_as_json(plan)
    return seal(
        Kit(
            kit=1,
            made_at=made_at.isoformat(timespec="seconds"),
            digest="",
            zone=site.zone,
            plan=planned,
            plan_digest=sha256_of(canonical(planned)),
            pack=shape.PackName(key=pack.key, version=pack.version),
            permits=rules.permits,
            crew=tuple(shape.Person(key=key, role=station.people[key].role) for key in plan.crew),
            places=tuple(shape.Place(**asdict(bucket)) for bucket in plan.buckets),
            looked_for=plan.looked_for,
            keep_device=plan.keep_device,
            taxa=taxa_of(pack, account, past, rules.clauses, oxygen.temperature_c),
            words=words_of(pack),
            past=shape.Past(hauls=past.hauls),
            clauses=rules.clauses,
            conditions=rules.conditions,
            stops=rules.stops,
            tide=tide_of(site, water, day, light) if water else None,
            sun=sun,
            oxygen=oxygen,
            company=company_rules(),
            identify=kit_table(model, prior(model.matrix, past.found)),
            cautions=(PERMIT, NO_RELEASE, *PEOPLE, *HAND_RULES, PUMPS, *(water.words if water else ())),
            to_settle=tuple(to_settle(plan, relied, rules.stops, day, ours, water is not None)),
            entries=tuple(entry.as_json() for entry in ours.entries),
        )
    )


def _past(account: Account, plan: Plan) -> Past:
    if all(haul.site != plan.site for haul in account.hauls):
        return Past(0, {})
    return found_in(account, plan.site, plan.date.month)


def _papers(plan: Plan, book: Book, made_at: datetime) -> tuple[Paper, ...]:
    done = (
        Paper(paper.permit, paper.act, When(paper.at.isoformat()), "", "", paper.clause)
        for paper in plan.paper
    )
    return (*papers(book, made_at), *done)


def _plan_as_json(plan: Plan) -> dict[str, Any]:
    """Return the plan as an outing is opened with it: what nobody said is left out."""
    found: dict[str, Any] = admitted(_said(asdict(plan)), "the plan")
    return found


def _said(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _said(each) for key, each in value.items() if each is not None}
    if isinstance(value, (list, tuple)):
        return [_said(each) for each in value]
    return value.isoformat() if hasattr(value, "isoformat") else value
