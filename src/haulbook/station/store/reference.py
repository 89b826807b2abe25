"""What stays beside the book, between its rows and the domain's own objects. Every change is kept."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db import models, transaction

from haulbook.exchange import station_toml as toml
from haulbook.gear import Net as NetType
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import Change, Instrument, Net, Person, Settings, Site, Tank
from haulbook.taxa import Pack, load_pack


def settings() -> Settings:
    """Return the station's own row.

    Raises
    ------
    Refusal
        Where the station has not been set up.
    """
    found = Settings.objects.first()
    if found is None:
        raise Refusal(
            "this station has not been set up yet; open it in a browser and give it a name and a pack"
        )
    return found


def pack_of_station() -> Pack:
    """Return the station's taxon pack."""
    return load_pack(settings().pack)


def keep(row: models.Model, by: str) -> None:
    """Save something that stays, with what it was before and who changed it.

    Parameters
    ----------
    row : Settings, Person, Site, Net, Instrument or Tank
    by : str
        Person's key; ``-`` at set-up.
    """
    with transaction.atomic():
        kind = type(row)
        old = kind._default_manager.filter(pk=row.pk).first() if row.pk is not None else None
        before = shown(old) if old is not None else None
        row.save()
        after = shown(row)
        if before != after:
            Change.objects.create(
                what=kind.__name__.lower(),
                key=str(getattr(row, "key", "station")),
                at=clock.now(),
                by=by,
                before=before,
                after=after,
            )


def shown(row: models.Model) -> dict[str, Any]:
    """Return the fields of a row as its history keeps them: without passwords."""
    hidden = {"id", "password", "last_login"}
    return {
        field.attname: getattr(row, field.attname)
        for field in row._meta.concrete_fields
        if field.attname not in hidden
    }


def history(what: str, key: str) -> models.QuerySet[Change]:
    """Return the changes of one thing, newest first."""
    return Change.objects.filter(what=what, key=key).order_by("-at", "-pk")


def station() -> toml.Station:
    """Return the station as the domain knows it: one query for each kind of thing."""
    own = settings()
    return toml.Station(
        name=own.name,
        pack=own.pack,
        people={
            one.key: toml.Person(one.key, one.role, one.name or None)
            for one in Person.objects.order_by("key")
        },
        nets={one.key: net_of(one) for one in Net.objects.order_by("key")},
        instruments={
            one.key: toml.Instrument(
                one.key, one.kind, one.calibration or None, one.scale or None, one.salinity_setting
            )
            for one in Instrument.objects.order_by("key")
        },
        tanks={
            one.key: toml.Tank(one.key, one.litres, one.quarantine) for one in Tank.objects.order_by("key")
        },
        sites={one.key: site_of(one) for one in Site.objects.order_by("key")},
    )


def net_of(row: Net) -> NetType:
    """Return a net's row as a net."""
    return NetType(
        key=row.key,
        length_m=row.length_m,
        height_m=row.height_m,
        mesh_mm=row.mesh_mm,
        mesh_as="bar" if row.mesh_as == "bar" else "stretch",
        width_ratio=row.width_ratio,
    )


def site_of(row: Site) -> toml.Site:
    """Return a site's row as a site."""
    tide = dict(row.tide)
    if tide.get("observed"):
        tide["observed"] = date.fromisoformat(tide["observed"])
    return toml.Site(
        key=row.key,
        position=(row.lat, row.lon),
        zone=row.zone,
        tide=toml.SiteTide(**tide) if tide else None,
        bed_m=row.bed_m,
        depth_m=(row.depth_least_m, row.depth_most_m),
        slack_lag_min=row.slack_lag_min,
        coarsen_km=row.coarsen_km,
    )


def take_in(station: toml.Station, by: str, *, invented: bool = False) -> None:
    """Take in a station file: what it names is added or changed, what it does not name stays as it is."""
    with transaction.atomic():
        own = Settings.objects.first() or Settings(zone="UTC")
        own.name, own.pack, own.invented = station.name, station.pack, own.invented or invented
        if station.sites:
            own.zone = next(iter(station.sites.values())).zone
        keep(own, by)
        for person in station.people.values():
            _merge(Person, person.key, {"role": person.role, "name": person.name or ""}, by)
        for net in station.nets.values():
            _merge(
                Net, net.key, _values(net, ("length_m", "height_m", "mesh_mm", "mesh_as", "width_ratio")), by
            )
        for tool in station.instruments.values():
            values = {"kind": tool.kind, "calibration": tool.calibration or "", "scale": tool.scale or ""}
            _merge(Instrument, tool.key, {**values, "salinity_setting": tool.salinity_setting}, by)
        for tank in station.tanks.values():
            _merge(Tank, tank.key, _values(tank, ("litres", "quarantine")), by)
        for site in station.sites.values():
            _merge(Site, site.key, _site_values(site), by)


def _site_values(site: toml.Site) -> dict[str, Any]:
    tide: dict[str, Any] = {}
    if site.tide is not None:
        tide = _values(site.tide, toml.SiteTide.__dataclass_fields__)
        if site.tide.observed:
            tide["observed"] = site.tide.observed.isoformat()
    return {
        **_values(site, ("zone", "bed_m", "slack_lag_min", "coarsen_km")),
        "lat": site.position[0],
        "lon": site.position[1],
        "depth_least_m": site.depth_m[0],
        "depth_most_m": site.depth_m[1],
        "tide": tide,
    }


def _values(one: Any, names: Iterable[str]) -> dict[str, Any]:
    return {name: getattr(one, name) for name in names}


def _merge(kind: type[models.Model], key: str, values: dict[str, Any], by: str) -> None:
    row = kind._default_manager.filter(key=key).first() or kind(key=key)
    for name, value in values.items():
        setattr(row, name, value)
    keep(row, by)
