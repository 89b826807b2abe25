"""What the body of each kind of entry holds: one table. Kinds that are not in it are kept as they came."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from haulbook.custody.checks import (
    Check,
    Rule,
    entry_id,
    flag,
    haul,
    inside,
    mapping_of,
    measure,
    one_of,
    or_null,
    record,
    sha256,
    some,
    taxon,
    text,
    thing,
    whole,
)
from haulbook.custody.lines import SEXES, move_line, redetermination_line, stage, unit
from haulbook.custody.places import PURPOSES, is_tank


def _together(first: str, second: str, why: str) -> Rule:
    def rule(body: Mapping[str, Any], where: str) -> str | None:
        if (first in body) == (second in body):
            return None
        there, missing = (first, second) if first in body else (second, first)
        return f"{where or 'the body'} has {there} but lacks {missing}; {why}"

    return rule


def _one_place(body: Mapping[str, Any], where: str) -> str | None:
    if ("place" in body) == ("haul" in body):
        return "a reading is taken in a place or in a haul: give one of the two"
    if not body.keys() & MEASURED:
        return f"a reading lacks what was read; give at least one of {', '.join(MEASURED)}"
    return None


def _place_act(body: Mapping[str, Any], where: str) -> str | None:
    place, act = body["place"], body["act"]
    if act == "purpose" and "purpose" not in body:
        return f"the body lacks purpose; say what {place} is for: keep, hold or release"
    if "purpose" in body and not place.startswith("bucket "):
        return f"{place} has a purpose; only buckets are to keep, to hold or to release"
    if act == "left-beach" and place.startswith("tank "):
        return f"{place} left the beach, where no tank stands; name the bucket or cooler"
    return None


def _weights_match(body: Mapping[str, Any], where: str) -> str | None:
    if "g" in body and len(body["g"]) != len(body["mm"]):
        return f"{len(body['mm'])} lengths and {len(body['g'])} weights; give one weight a length, or none"
    return None


_geometry = record({"m": measure("metres", above=0), "basis": one_of("measured", "assumed")})
_area = record(
    {"m2": measure("square metres", above=0), "basis": one_of("measured", "assumed"), "said_by": text}
)
_permits = some(record({"permit": text, "version": text}), "permit", least=0)

MEASURED: dict[str, Check] = {
    "temperature_c": measure("degrees Celsius", -5, 60),
    "salinity": measure("practical salinity", 0),
    "oxygen_mg_l": measure("milligrams per litre", 0),
    "oxygen_percent": measure("per cent of saturation", 0),
    "ph": measure("pH", 0, 14),
    "tan_mg_n_l": measure("milligrams of nitrogen per litre", 0),
}
"""What a reading can hold."""

GEOMETRY = ("w", "d", "c", "b", "D", "L")

BODIES: dict[str, Check] = {
    "outing-opened": record(
        {
            "plan": or_null(thing),
            "digest": or_null(sha256),
            "pack": text,
            "version": text,
            "permits": _permits,
            "looked_for": some(taxon, "taxon", least=0),
        }
    ),
    "outing-closed": record({}, {"remark": text}),
    "outing-signed": record(
        {
            "covers": mapping_of(whole(1), text),
            "digest": sha256,
            "role": text,
            "report_digests": some(sha256, "digest", least=0),
        }
    ),
    "haul-started": record(
        {"haul": haul},
        {
            "label": text,
            "site": text,
            "net": text,
            "set_type": text,
            "lat": measure("degrees north, EPSG:4326", -90, 90),
            "lon": measure("degrees east, EPSG:4326", -180, 180),
        },
        _together("lat", "lon", "a position needs both"),
    ),
    "haul-landed": record(
        {"haul": haul, "condition": one_of(1, 2, 3, 4, 5, 9)},
        {
            "why": text,
            **dict.fromkeys(GEOMETRY, _geometry),
            "depth_m": measure("metres", 0),
            "area": _area,
        },
    ),
    "haul-ended": record({"haul": haul}),
    "move": record({"lines": some(move_line, "line")}, {"text": text}),
    "redetermination": record({"lines": some(redetermination_line, "line"), "why": text}),
    "lengths": record(
        {
            "haul": haul,
            "taxon": taxon,
            "length_type": text,
            "mm": some(measure("millimetres", above=0), "length"),
        },
        {
            "stage": stage,
            "g": some(measure("grams", above=0), "weight"),
            "sex": one_of(*SEXES),
            "clipped": flag,
            "tissue": flag,
            "voucher_no": text,
        },
        _weights_match,
    ),
    "present": record({"haul": haul, "taxon": taxon}),
    "searched-and-none": record({"haul": haul, "taxa": some(taxon, "taxon")}),
    "place": record(
        {"place": inside, "act": one_of("set-up", "water-changed", "air", "lid", "purpose", "left-beach")},
        {
            "purpose": one_of(*PURPOSES),
            "litres": measure("litres", above=0),
            "air_per_h": measure("changes of the water's air an hour", 0),
        },
        _place_act,
    ),
    "reading": record(
        {"instrument": text},
        {"place": inside, "haul": haul, **MEASURED, "scale": text},
        _one_place,
        _together("ph", "scale", "a pH says on which scale it was read"),
    ),
    "counted-again": record({"place": inside, "taxon": taxon, "n": whole(0)}, {"stage": stage, "unit": unit}),
    "strike": record(
        {"entries": some(entry_id, "entry"), "reason": text}, {"instead": some(entry_id, "entry", least=0)}
    ),
    "settled": record({"key": text, "answer": text, "why": text}),
    "care": record(
        {"place": inside, "act": one_of("fed", "ate", "refused", "cleaned", "treated", "checked")},
        {"taxon": taxon, "g": measure("grams", above=0), "what": text, "prescribed_by": text},
    ),
    "paper": record(
        {
            "permit": text,
            "act": one_of("notice-sent", "receipt", "permission", "report-signed", "report-sent", "cleared"),
        },
        {"clause": text, "sha256": sha256, "digest": sha256},
    ),
    "picture": record({"of": entry_id, "sha256": sha256, "bytes": whole(1)}),
    "remark": record({"text": text}, {"haul": haul, "place": inside}),
}
"""Needed and optional keys of every kind. A stored kind keeps its name; a new meaning is a new kind."""

OF_A_HAUL = ("haul-started", "haul-landed", "haul-ended", "lengths", "present", "searched-and-none")
"""Kinds whose haul belongs to the entry's own outing."""

OF_AN_OUTING = ("outing-opened", "outing-closed", "outing-signed", *OF_A_HAUL)
"""Kinds that can't stand without an outing."""

OF_A_PLACE = ("place", "counted-again")
"""Kinds that need an outing unless the place is a tank: net, buckets and coolers are an outing's."""


def faults_of(kind: str, body: Any, outing: str | None, entry: str) -> list[str]:
    """Return a sentence for everything that is off in the body of an entry; an unknown kind has no faults.

    Parameters
    ----------
    kind, outing, entry : str
        Kind, outing and id of the entry, with which its hauls have to agree.
    body : Any
        As admitted by :func:`haulbook.custody.canonical.admitted`.
    """
    if not isinstance(body, dict):
        return ["the body is no object"]
    check = BODIES.get(kind)
    if check is None:
        return []
    faults = list(check(body, ""))
    if faults:
        return faults
    if outing is None and _needs_outing(kind, body):
        return [f"{kind} of {body.get('place', 'an outing')} belongs to an outing, and this entry has none"]
    said: list[str | None] = []
    if kind in OF_A_HAUL:
        said = [_outing_of_haul(body["haul"], outing, "haul")]
    elif kind == "move":
        said = [_line_of(line, outing, entry, f"line {n}") for n, line in enumerate(body["lines"], 1)]
    return [fault for fault in said if fault]


def _needs_outing(kind: str, body: Mapping[str, Any]) -> bool:
    return kind in OF_AN_OUTING or (kind in OF_A_PLACE and not is_tank(body["place"]))


def _line_of(line: Mapping[str, Any], outing: str | None, entry: str, where: str) -> str | None:
    if line["from"] == "sea":
        return _outing_of_haul(line["haul"], outing, f"{where}, haul")
    if line["from"] in ("born", "brought") and line["haul"] != entry:
        return (
            f"{where}, haul is {line['haul']!r}; {line['from']} animals carry "
            f"the id of this entry, {entry}, as their haul"
        )
    return None


def _outing_of_haul(key: str, outing: str | None, where: str) -> str | None:
    if key.rpartition("/")[0] == outing:
        return None
    return f"{where} is {key!r}, which is no haul of the entry's outing {outing or '(none)'}"
