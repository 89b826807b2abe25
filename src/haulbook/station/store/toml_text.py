"""Station, plans and permits as the TOML files that every command takes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, fields
from typing import Any

import tomlkit

from haulbook.exchange.plan_toml import Plan
from haulbook.exchange.station_toml import Site, Station
from haulbook.permit.model import Permit


def station_text(station: Station) -> str:
    """Return a station file."""
    document = tomlkit.document()
    document["station"], document["pack"] = station.name, station.pack
    document["people"] = _inline(
        {one.key: _inline(_said({"role": one.role, "name": one.name})) for one in station.people.values()}
    )
    for name, things in (
        ("net", station.nets),
        ("instrument", station.instruments),
        ("tank", station.tanks),
    ):
        if things:
            document[name] = _rows(_said(_values(one)) for one in things.values())
    if station.sites:
        sites = tomlkit.aot()
        for site in station.sites.values():
            sites.append(_site(site))
        document["site"] = sites
    return tomlkit.dumps(document)


def plan_text(plan: Plan) -> str:
    """Return a plan file."""
    document = tomlkit.document()
    for key, value in _said(asdict(plan)).items():
        rows = key in ("buckets", "paper")
        document[key] = _rows(map(_said, value)) if rows else value
    return tomlkit.dumps(document)


def permit_text(text: str, permit: Permit) -> str:
    """Return a permit's file with everybody who confirmed a clause, otherwise as it was typed."""
    document = tomlkit.parse(text)
    confirmed = {(one.id, one.version): list(one.confirmed_by) for one in permit.clauses}
    for clause in document.get("clause", ()):
        by = confirmed.get((clause["id"], int(clause.get("version", 1))), [])
        if by and list(clause.get("confirmed_by", ())) != by:
            clause["confirmed_by"] = by
    return tomlkit.dumps(document)


def _site(site: Site) -> Any:
    said = _said(_values(site))
    said["position"], said["depth_m"] = list(site.position), list(site.depth_m)
    if site.tide is not None:
        said["tide"] = _inline(_said(_values(site.tide)))
    table = tomlkit.table()
    table.update(said)
    return table


def _values(one: Any) -> dict[str, Any]:
    return {field.name: getattr(one, field.name) for field in fields(one)}


def _said(values: Mapping[str, Any]) -> dict[str, Any]:
    """Leave out what nobody said."""
    return {key: _plain(value) for key, value in values.items() if value is not None and value != ()}


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def _inline(values: Mapping[str, Any]) -> Any:
    table = tomlkit.inline_table()
    table.update(values)
    return table


def _rows(rows: Iterable[Mapping[str, Any]]) -> Any:
    array = tomlkit.array()
    for row in rows:
        array.append(_inline(row))
    array.multiline(True)
    return array
