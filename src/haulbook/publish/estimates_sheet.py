"""Catch per area as a table for a spreadsheet: everything, also the limits that a page does not print."""

from __future__ import annotations

from collections.abc import Iterable

from haulbook.estimate import UNDERCOUNT
from haulbook.publish.account_parts import EstimateLine
from haulbook.publish.sheet import Sheet

_NOTES = (
    (
        "per_100_m2",
        "all animals over all swept area of the hauls used, per 100 m²; blank without a valid haul",
    ),
    (
        "low, high",
        "95 % limits; after a catch of nothing, 0 and the upper bound for animals in patches",
    ),
    ("high_if_scattered", "after a catch of nothing: the bound if animals were scattered independently"),
    ("limits_printed", "no: the limits lie more than a hundredfold apart, too few hauls for an interval"),
    ("mean_of_hauls_per_100_m2", "the other mean, every haul weighing alike; for comparison"),
    ("left_out", "hauls that did not enter, and why"),
    ("least figure", UNDERCOUNT),
)


def estimates_sheet(lines: Iterable[EstimateLine], name: str = "catch per area") -> Sheet:
    """Return one row a taxon, group of comparable hauls and period."""
    headers = (
        "taxon",
        "group",
        "period",
        "per_100_m2",
        "low",
        "high",
        "high_if_scattered",
        "limits_printed",
        "mean_of_hauls_per_100_m2",
        "hauls",
        "hauls_with_catch",
        "method",
        "warnings",
        "left_out",
    )
    rows = tuple(
        (
            line.taxon,
            line.group,
            line.period,
            line.estimate.per_100_m2,
            line.estimate.low,
            line.estimate.high,
            line.estimate.high_if_scattered,
            "yes" if line.estimate.limits_shown else "no",
            line.estimate.mean_of_hauls_per_100_m2,
            line.estimate.n_hauls,
            line.estimate.n_positive,
            line.estimate.method,
            "; ".join(line.estimate.warnings),
            "; ".join(f"{out.label}: {out.why}" for out in line.estimate.left_out),
        )
        for line in lines
    )
    return Sheet(name, headers, rows, _NOTES)
