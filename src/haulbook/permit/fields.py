"""The columns of the report model: every agency's table is made of these and of nothing else.

Source: A3 of the permit reference (``docs/reference/layouts.md`` lists them with their meaning). Columns
marked own were added here for events after landing, which some forms ask for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

Value = str | int | float | date | datetime | None
"""What a cell of the report model can hold."""

Row = Mapping[str, Value]
"""One row of the report model: a value for every name in ``FIELDS``."""

Fold = Literal["same", "sum", "min", "max", "mean", "join", "flag"]


@dataclass(frozen=True, slots=True)
class Field:
    """One column: how several rows become one, and what it means."""

    fold: Fold
    meaning: str


_SAME = {
    "permit_no": "number of the permit the row is reported under",
    "holder": "holder of the permit",
    "permit_version": "clause versions in force at the landing, as 4b:1 5:2",
    "period_start": "first day of the report",
    "period_end": "last day of the report",
    "outing_id": "outing",
    "outing_date_local": "local day of the landing, in the permit's zone",
    "haul_no": "number called on the beach, or the label of an old sheet",
    "set_at": "net in the water",
    "landed_at": "net on the beach",
    "tz": "zone of the permit",
    "site_name": "name of the site",
    "water_body": "water body",
    "admin_area": "county, borough or the like",
    "agency_area_code": "the agency's own code of the area",
    "lat": "latitude, decimal degrees",
    "lon": "longitude, decimal degrees, west negative",
    "datum": "datum of the position",
    "coord_source": "where the position comes from",
    "coord_uncertainty_m": "radius within which the whole haul lies, metres",
    "gear_code": "code of the net",
    "gear_length_m": "length of the net, metres",
    "gear_height_m": "height of the net, metres",
    "mesh_mm": "mesh, millimetres",
    "swept_area_m2": "area swept by the haul, square metres",
    "effort_value": "effort of the haul",
    "effort_unit": "unit of the effort",
    "people_present": "people on the beach",
    "taxon_sci": "scientific name; empty while the name is open",
    "taxon_common": "common name; an open name as written",
    "taxon_id": "identifier of the name, where verified",
    "taxon_list_name": "list of the permit that means it",
    "id_certainty": "certain, doubtful or open",
    "life_stage": "larva, young, adult, egg mass, or empty",
    "sex": "sex, where noted",
    "origin": "wild, hatchery, where noted",
    "mark": "mark that the animal bore",
    "unit": "individual, egg_mass, colony, blade or gram",
}
_SUMS = {
    "n_encountered": "captured, and seen to escape before landing",
    "n_captured": "captured",
    "n_recaptured": "captured that already bore a mark",
    "n_handled": "handled",
    "n_released_alive": "released alive after handling",
    "n_released_in_net": "let go untouched out of the net",
    "n_retained_alive": "alive when they left the beach",
    "n_retained_dead": "killed on purpose and kept",
    "n_killed_not_kept": "killed on purpose and not kept",
    "n_died_released": "found dead and put back",
    "n_died_retained": "found dead and kept",
    "n_died_later": "died after leaving the beach, beside their fate there",
    "n_sampled": "sampled for tissue or the like; empty where not known",
    "n_unaccounted": "lost, or not yet dealt with",
    "n_killed_later": "killed after leaving the beach (own)",
    "n_transferred": "given to another institution (own)",
    "n_released_later": "released after captivity (own)",
    "n_missing_later": "missing from a tank, presumed dead (own)",
}
_JOINS = {
    "verbatim_name": "name as said or written",
    "condition": "condition of the haul, in words",
    "disposition_code": "fate of the fates table",
    "disposition_place": "where they are now",
    "disposition_ref": "cause or reference of the fate",
    "clause_ids": "clauses that count the row",
    "remark": "what else a reader has to know",
    "entry_ids": "entries of the book behind the row",
}

FIELDS: dict[str, Field] = {
    **{name: Field("same", meaning) for name, meaning in _SAME.items()},
    **{name: Field("sum", meaning) for name, meaning in _SUMS.items()},
    "size_min_mm": Field("min", "least length, millimetres"),
    "size_mean_mm": Field("mean", "mean length of the measured, millimetres"),
    "size_max_mm": Field("max", "greatest length, millimetres"),
    "n_measured": Field("sum", "how many were measured (own)"),
    "authorised_n": Field("same", "limit of the clause with least left"),
    "used_n": Field("same", "its count in the period"),
    "remaining_n": Field("same", "what is left of it"),
    "flag": Field("flag", "normal, corrected, protected or unauthorised"),
    **{name: Field("join", meaning) for name, meaning in _JOINS.items()},
}
"""Every column of the report model by name."""

FLAGS = ("normal", "corrected", "protected", "unauthorised")
"""Flags of a row, least first: of several the last is shown."""

DETAIL_KEYS = (
    "outing_id",
    "haul_no",
    "taxon_sci",
    "taxon_common",
    "life_stage",
    "sex",
    "origin",
    "mark",
    "unit",
)
"""What one detail row is: haul, taxon, stage, sex, origin, mark and unit."""

CAPTURED_PARTS = (
    "n_released_alive",
    "n_released_in_net",
    "n_retained_alive",
    "n_retained_dead",
    "n_killed_not_kept",
    "n_died_released",
    "n_died_retained",
    "n_unaccounted",
)
"""Columns that together are n_captured (A4.1, identity)."""
