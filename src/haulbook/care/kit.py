"""What the phone is given of all this: demand per taxon, company, and the constants of the clock."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from haulbook.care.animal import TaxonFacts
from haulbook.care.company import class_of
from haulbook.care.company_table import ALONE, BY_GROUP, HUNTERS, VERDICTS, WHY
from haulbook.care.demand import demand_of
from haulbook.care.planning import HOUSE, PlanningDefaults


def mg_h(taxon: TaxonFacts, temperature_c: float, planning: PlanningDefaults = HOUSE) -> dict[str, float]:
    """Return an animal's resting oxygen demand at its usual size, ``{"mid", "low", "high"}`` in mg/h.

    Never 0. The phone adds them up, multiplies by the capture multiplier, and solves the bucket's clock.
    """
    demand = demand_of(taxon, temperature_c, planning=planning)
    return {
        "mid": _digits(demand.mg_h),
        "low": _digits(demand.low),
        "high": _digits(demand.high),
    }


def _digits(value: float) -> float:
    return float(f"{value:.4g}")


def company_class(taxon: TaxonFacts, lineage: Collection[str], planning: PlanningDefaults = HOUSE) -> str:
    """Return the class of company of a taxon of unknown size; ``lineage``: its own key and its ancestors'."""
    return class_of(taxon.group, lineage, None, planning)


def company_rules(planning: PlanningDefaults = HOUSE) -> dict[str, Any]:
    """Return the table of company as plain JSON: classes, verdict and reason of each pair, the size rule."""
    classes = sorted({each for pair in VERDICTS for each in pair})
    return {
        "classes": classes,
        "alone": ALONE,
        "size_ratio": planning.company_ratio,
        "size_rule_between": sorted(HUNTERS),
        "large_crab_mm": planning.large_crab_mm,
        "by_group": dict(BY_GROUP),
        "pairs": [
            {"of": sorted(pair), "verdict": level, "why": WHY.get(pair)}
            for pair, level in sorted(VERDICTS.items(), key=lambda item: sorted(item[0]))
        ],
    }


def clock_constants(planning: PlanningDefaults = HOUSE) -> dict[str, float]:
    """Return the numbers that the phone's clock needs beside the kit's demands."""
    return {
        "capture_multiplier": planning.capture_multiplier,
        "stress_decay_per_h": planning.stress_decay_per_h,
        "target_percent": planning.target_percent,
        "act_percent": planning.act_percent,
        "act_mg_l": planning.act_mg_l,
        "carry_min": planning.carry_min,
    }
