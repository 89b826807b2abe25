"""The animals of a pack as a phone needs them, and what its buckets' clocks reckon with."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import asdict

from haulbook.calls.wordbook import wordbook
from haulbook.care.cautions import caution_of
from haulbook.care.demand import Demand, demand_of
from haulbook.care.kit import clock_constants, company_class, mg_h
from haulbook.care.planning import HOUSE
from haulbook.care.planning_groups import UNKNOWN_GROUP
from haulbook.custody.facts import Account
from haulbook.identify.notices import kinds_of
from haulbook.identify.past import Past
from haulbook.permit.model import STAGES
from haulbook.publish.silhouettes import silhouette_of
from haulbook.shore import shape
from haulbook.taxa import Pack
from haulbook.taxa import Taxon as PackTaxon

WARMTH_C = range(31)
"""Whole degrees for which the kit holds how much more or less animals breathe."""


def taxa_of(
    pack: Pack, account: Account, past: Past, clauses: Sequence[shape.Clause], temperature_c: float
) -> tuple[shape.Taxon, ...]:
    """Return every name of a pack, in its own order.

    Parameters
    ----------
    account : Account
        Whose animals show which stages are met with.
    past : Past
        Past hauls at the site in the season.
    clauses : sequence of Clause
        Those that ask for a stage make it worth a question.
    temperature_c : float
        Of the demands.
    """
    seen = _stages_seen(account)
    return tuple(
        shape.Taxon(
            key=key,
            parent=next(iter(pack.lineage(key)), None),
            names=_names(taxon),
            stages=_stages(key, seen.get(key, Counter()), clauses),
            group=taxon.group,
            drawing=silhouette_of(key, pack),
            company=company_class(taxon, (key, *pack.lineage(key))),
            uptake=_uptake(taxon),
            mg_h=shape.Demand(**_rounded(mg_h(taxon, temperature_c))),
            caution=_caution(taxon, pack),
            notice={str(kind): words for kind, words in kinds_of(taxon).items()},
            seen=past.found.get(key, 0),
        )
        for key, taxon in pack.taxa.items()
    )


def words_of(pack: Pack) -> shape.Words:
    """Return what the animals of a pack are called."""
    return shape.Words.model_validate(asdict(wordbook(pack)))


def oxygen_of(pack: Pack, water: tuple[float, float, int]) -> shape.Oxygen:
    """Return the constants of the bucket's clock; ``water`` as `usual_water` gives it."""
    temperature, salinity, readings = round(water[0], 1), round(water[1], 1), water[2]
    unnamed = demand_of(None, temperature)
    return shape.Oxygen(
        temperature_c=temperature,
        salinity=salinity,
        readings=readings,
        warmth=_warmth(pack, temperature),
        unnamed=_demand(unnamed),
        unnamed_uptake=UNKNOWN_GROUP.uptake,
        clock=clock_constants(),
    )


def _names(taxon: PackTaxon) -> tuple[str, ...]:
    """Return all it is called: common names first, the one that is printed before the others."""
    return tuple(dict.fromkeys((*taxon.common_names, taxon.scientific_name, *taxon.synonyms)))


def _stages(key: str, seen: Counter[str], clauses: Iterable[shape.Clause]) -> tuple[str, ...]:
    """Return the stages worth a question, in the order of life: clauses split by them, or hauls brought them."""
    asked = {
        stage for one in clauses for stage in one.only.stage if key in one.members or key in one.possible
    }
    return tuple(stage for stage in STAGES if stage in asked or seen[stage])


def _stages_seen(account: Account) -> dict[str, Counter[str]]:
    seen: dict[str, Counter[str]] = {}
    for animals in account.animals:
        if animals.stage:
            seen.setdefault(animals.taxon, Counter())[animals.stage] += 1
    return seen


def _caution(taxon: PackTaxon, pack: Pack) -> str | None:
    found = caution_of(taxon, pack.lineage(taxon.key), pack.taxa)
    said = [found.hazards, found.handling] if found else []
    return " ".join(f"{each.rstrip('.')}." for each in said if each) or None


def _uptake(taxon: PackTaxon) -> str:
    return HOUSE.groups.get(taxon.group, UNKNOWN_GROUP).uptake


def _warmth(pack: Pack, temperature_c: float) -> dict[str, tuple[float, ...]]:
    """Return by how much a demand grows with temperature, for each way in which it is reckoned."""
    first = {_uptake(taxon): taxon for taxon in reversed(tuple(pack.taxa.values()))}
    return {
        uptake: tuple(
            round(demand_of(taxon, c).mg_h / demand_of(taxon, temperature_c).mg_h, 4) for c in WARMTH_C
        )
        for uptake, taxon in sorted(first.items())
    }


def _demand(demand: Demand) -> shape.Demand:
    return shape.Demand(**_rounded({"mid": demand.mg_h, "low": demand.low, "high": demand.high}))


def _rounded(values: dict[str, float]) -> dict[str, float]:
    """Round to the four decimals that the kit's text can hold; the least demand of a pack is far above them."""
    return {name: round(value, 4) for name, value in values.items()}
